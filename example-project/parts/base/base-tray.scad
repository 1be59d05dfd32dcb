// Base tray: everything stands in it. Lengths in mm.
width  = 220;
depth  = 150;
height = 45;
wall   = 2.4;

difference() {
  cube([width, depth, height]);
  translate([wall, wall, wall]) cube([width - 2 * wall, depth - 2 * wall, height]);
  translate([0, 55, 20]) cube([wall, 40, 8]);            // the carrier goes in on the left
  translate([width - wall, 55, 20]) cube([wall, 40, 8]); // and comes out on the right
  translate([30, depth - wall, 12]) cube([60, wall, 24]);  // the fins look out at the back
}
