"""From a plan of ports to a solved oil circuit and its facts."""
