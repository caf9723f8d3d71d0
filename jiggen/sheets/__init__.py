"""Drawings placed on sheets, sheets cut into pages of paper."""
