"""Whether the frame and its sheet carry people and gear: demand over what is allowed, piece by piece."""
