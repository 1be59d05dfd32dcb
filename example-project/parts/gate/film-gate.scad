// Film gate: holds the carrier flat over the light. Lengths in mm.
width  = 84;
depth  = 60;
height = 9;
slot   = 5;         // the carrier slides through here
lead   = 6;         // the mouths are wider, so that the carrier finds its way in

difference() {
  cube([width, depth, height]);
  translate([0, 11, 1.8]) cube([width, 38, slot]);       // the tunnel for the carrier
  translate([0, 10, 1.8]) cube([lead, 40, slot]);
  translate([width - lead, 10, 1.8]) cube([lead, 40, slot]);
  translate([24, 18, 0]) cube([36, 24, height]);         // the window, one frame
}
