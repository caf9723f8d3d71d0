"""Shapes that make a true-scale drawing, in mm; has never heard of a post."""
