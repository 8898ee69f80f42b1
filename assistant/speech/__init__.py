"""Recognisers behind one small protocol, and the spoken voice."""
