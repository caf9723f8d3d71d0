"""The local page: a job typed into forms turned into the same plan, drawings and packet as the command's."""
