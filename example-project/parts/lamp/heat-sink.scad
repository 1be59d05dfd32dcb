// Heat sink: a length of fin extrusion; we only cut it and drill it. Lengths in mm.
width = 60;
depth = 40;
base  = 4;
fin   = 16;         // height of a fin above the base

union() {
  cube([width, depth, base]);
  translate([0, 0, base]) cube([2, depth, fin]);
  translate([11.6, 0, base]) cube([2, depth, fin]);
  translate([23.2, 0, base]) cube([2, depth, fin]);
  translate([34.8, 0, base]) cube([2, depth, fin]);
  translate([46.4, 0, base]) cube([2, depth, fin]);
  translate([58, 0, base]) cube([2, depth, fin]);
}
