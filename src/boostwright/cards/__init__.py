"""Part cards: one part, one TOML file, with its source, licence and status; looked up by kind and name."""
