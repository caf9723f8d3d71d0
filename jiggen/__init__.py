"""The cable guard drilling program: one job file in, one packet out."""
