"""What we say: a frozen document goes in, a page comes out. Nothing is calculated here."""
