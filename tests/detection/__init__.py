"""How often a wrong unit is seen and named, on generated profiles; see README.md here."""
