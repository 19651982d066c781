"""An invented shop, built through the actions like any user would."""
