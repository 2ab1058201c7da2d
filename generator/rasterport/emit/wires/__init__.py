"""The wiring as pictures: the board's edge with its landings, sockets and switches from where they are soldered."""
