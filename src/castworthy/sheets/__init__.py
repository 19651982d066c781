"""Spec sheets (TOML) and readings (CSV), read into the frozen inputs of calc."""
