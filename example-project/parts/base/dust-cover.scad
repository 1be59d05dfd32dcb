// Dust cover: closes the mouth where the carrier goes in. Lengths in mm.
difference() {
  cube([52, 6, 14]);
  translate([4, 2, 4]) cube([44, 4, 6]);
}
