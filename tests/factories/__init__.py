"""Things tests are made from: invented sheets, shops and heads."""
