"""What is made of parts once they have their outlines: bevelled edges, layers, places of joints."""
