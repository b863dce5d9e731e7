"""One module for each family of items: what makes an item of that family valid, judged from the claims alone."""
