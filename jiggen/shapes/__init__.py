"""The shape and sizes that a job gives a post turned into its outline: what a line pierces and paper goes round."""
