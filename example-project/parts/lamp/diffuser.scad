// Diffuser: a plate, sawn to size, edges ground. Lengths in mm.
cube([72, 52, 3]);
