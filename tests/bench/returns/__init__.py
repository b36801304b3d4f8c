"""How right pages that come back from helpers are judged."""
