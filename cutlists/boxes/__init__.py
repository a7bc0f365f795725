"""Ice boxes, foam blocks, paint and glue on paper: lists, drawings, what to buy."""
