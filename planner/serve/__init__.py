"""The season in a browser: the page live, on this computer and on the phones that were paired with it."""
