// Camera arm: a column with the camera at its end. Lengths in mm.
height    = 118;    // over the film
reach     = 70;
width     = 24;
thickness = 10;

union() {
  cube([thickness, width, height]);
  translate([0, 0, height - thickness]) cube([reach + thickness, width, thickness]);
  cube([20, width, 6]);                                  // the foot
}
