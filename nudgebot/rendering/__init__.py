"""What leaves in other forms than words: pictures. Knows the trade, not the store and no voice."""
