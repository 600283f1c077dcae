"""How does this plant work? Its text, read into values (DESIGN.md section 7)."""
