"""What pages and papers tell, picked from the examination once for both; nothing is computed here."""
