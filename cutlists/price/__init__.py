"""What a boat costs and is sold for: quote, what a change costs, actuals, and rates learnt from them."""
