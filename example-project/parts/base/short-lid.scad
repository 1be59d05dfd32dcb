// Short lid: for travelling without the lamp house. Drawn upside down. Lengths in mm.
width  = 220;
depth  = 150;
height = 14;
wall   = 1.8;

difference() {
  cube([width, depth, height]);
  translate([wall, wall, wall]) cube([width - 2 * wall, depth - 2 * wall, height]);
  translate([92, 63, 0]) cube([36, 24, wall]);           // daylight enters here
}
