"""One group of alike faces turned into a jig: flat parts in mm, each with its place in space."""
