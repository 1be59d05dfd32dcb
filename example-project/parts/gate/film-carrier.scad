// Film carrier: a strip of four frames lies in it. Lengths in mm.
length    = 168;
width     = 37.6;
thickness = 4.8;
pitch     = 38;    // from frame to frame

difference() {
  cube([length, width, thickness]);
  translate([9, 6.8, 0]) cube([36, 24, thickness]);
  translate([9 + pitch, 6.8, 0]) cube([36, 24, thickness]);
  translate([9 + 2 * pitch, 6.8, 0]) cube([36, 24, thickness]);
  translate([9 + 3 * pitch, 6.8, 0]) cube([36, 24, thickness]);
}
