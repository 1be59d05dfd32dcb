// Drive roller, turned: two grooves take the tyres. Lengths in mm.
difference() {
  cylinder(h = 40, d = 25.4, $fn = 96);
  cylinder(h = 40, d = 5, $fn = 48);                     // reamed for the shaft
}
