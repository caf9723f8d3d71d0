"""Drawings and pages turned into bytes: knows how a line looks, not what it is for."""
