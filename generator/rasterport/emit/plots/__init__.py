"""Plots of the bench sheet as plain SVG inside a page: curves over an axis, and bars."""
