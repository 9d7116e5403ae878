"""How long a gas cartridge lasts, by which source, and when it is changed."""
