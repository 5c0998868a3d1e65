"""Sheets of the record: what is gathered of it, as rows in words and then as bytes to hand over."""
