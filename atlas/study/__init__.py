"""Study: a path through a zone, practice on what has been settled, and how well it goes."""
