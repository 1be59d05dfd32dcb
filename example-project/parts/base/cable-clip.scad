// Cable clip: holds a cable to the wall of the tray. Lengths in mm.
difference() {
  cube([14, 8, 9]);
  translate([5, 0, 3]) cube([4, 8, 6]);
}
