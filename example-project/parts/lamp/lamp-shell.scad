// Lamp shell: keeps the light in and the fingers out. Lengths in mm.
width  = 96;
depth  = 76;
height = 42;
wall   = 2.4;

difference() {
  cube([width, depth, height]);
  translate([wall, wall, wall]) cube([width - 2 * wall, depth - 2 * wall, height]);
  translate([28, 24, 0]) cube([40, 28, wall]);           // the light leaves here
  translate([40, 0, 30]) cube([16, wall, 12]);           // the cable enters here
}
