"""What the boat weighs and where its centre of mass lies, piece by piece and before and after the refit."""
