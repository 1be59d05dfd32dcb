// Motor mount: aluminium angle, milled. The motor's face needs it flat. Lengths in mm.
width = 50;
wall  = 4;
foot  = 30;

difference() {
  union() {
    cube([width, wall, 48]);
    cube([width, foot, wall]);
  }
  translate([14, 0, 15]) cube([22, wall, 22]);           // the motor's collar
  translate([8, 14, 0]) cube([6, 10, wall]);             // two slots to tighten the belt
  translate([36, 14, 0]) cube([6, 10, wall]);
}
