"""What would be worth doing, worked out from the projection and from plans."""
