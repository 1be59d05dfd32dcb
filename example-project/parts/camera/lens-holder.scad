// Lens holder: a milled block, bored for the lens. Lengths in mm.
difference() {
  cube([34, 34, 20]);
  translate([17, 17, 0]) cylinder(h = 20, d = 25.4, $fn = 96);
}
