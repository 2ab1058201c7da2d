"""The bench sheet: one page that goes with the board from the first measurement to the user's card."""
