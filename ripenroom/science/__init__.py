"""What fruit and rooms do: arrays in, arrays out; knows no file, no window and no record."""
