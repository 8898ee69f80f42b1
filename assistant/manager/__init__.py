"""The manager's local web page and the printed report."""
