"""The drawing of a circuit: its finished parts and nets as standard symbols, frame by frame, on sheets of paper."""
