"""What comes in from outside: coils, packs and solutions of suppliers, and what lay here before."""
