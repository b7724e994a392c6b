"""The few widgets the screens are made of."""
