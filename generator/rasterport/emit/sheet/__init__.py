"""The bench sheet: one page for somebody who stands at the set with its back off."""
