// Felt jig: two strips of felt are cut and laid straight in it. Lengths in mm.
difference() {
  cube([130, 30, 6]);
  translate([5, 6, 2]) cube([120, 6, 4]);
  translate([5, 18, 2]) cube([120, 6, 4]);
}
