"""Tables of a laboratory's methods, instruments and columns, and the profiles they give."""
