"""Brazilian Portuguese, as it is said in kitchens."""
