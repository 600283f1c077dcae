"""The one door: every fact enters the record here."""
