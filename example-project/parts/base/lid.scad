// Lid: keeps the daylight out. Drawn upside down, as it is printed. Lengths in mm.
width  = 220;
depth  = 150;
height = 30;
wall   = 1.8;

difference() {
  cube([width, depth, height]);
  translate([wall, wall, wall]) cube([width - 2 * wall, depth - 2 * wall, height]);
}
