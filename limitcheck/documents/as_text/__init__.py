"""Results as text, until each is drawn from its document."""
