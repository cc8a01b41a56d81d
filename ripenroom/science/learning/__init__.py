"""How much checks of firmness tell about rates, ages and spreads: arrays in, arrays out."""
