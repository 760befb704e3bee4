"""What a rig file may say, and how it is loaded."""
