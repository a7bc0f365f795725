"""What is wrong with a boat, on paper: JSON and a picture of each finding."""
