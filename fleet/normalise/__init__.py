"""From readings as written to measurements in kept units."""
