"""A Job turned into a Plan: every post, face and mark in place, nothing left to decide."""
