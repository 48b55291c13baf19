// The tank of the bath between blades: how warm it is when the next one comes.
#pragma once

namespace tq::surroundings {

/// Heat lost by a tank [W/K] of `volume_m3`: an upright steel cylinder twice as tall as wide, open above,
/// losing 10 W/(m2 K) by natural convection and radiation (from memory: 4-6 each near 50 degC).
double tank_loss_W_K(double volume_m3);

/// A bath that takes blade after blade.
struct Tank {
  double fresh_degC = 20;  ///< before the first blade
  double room_degC = 20;   ///< towards which it cools
  double capacity_J_K = 0; ///< 0 = so large that it stays at its temperature
  double loss_W_K = 0;     ///< to the room
  double heat_J = 0;       ///< given by one blade quenched in the fresh bath
  double blade_degC = 800; ///< of the blade as it goes in: a warmer bath takes less heat from it
  double interval_s = 0;   ///< from one blade to the next
};
/// Bath temperature [degC] that blade `number` (1 = the first) meets: heat balance T + Q / C for each blade
/// before it, in between first-order cooling to the room, exp(-loss t / C).
double bath_before_blade(const Tank& tank, int number);
/// The same after that blade.
double bath_after_blade(const Tank& tank, int number);
/// How many blades may follow one another before the bath passes `limit_degC` at the end of one; `most` when
/// it never does up to there.
int blades_below(const Tank& tank, double limit_degC, int most);
/// Shortest interval [s] after which the next blade may follow, for ever, without the bath passing
/// `limit_degC` at the end of one: the bath stands at the limit and must cool until the rise of one more
/// blade fits below it. 0 when it fits at once in an endless bath, NaN when no wait is long enough.
double least_interval_s(const Tank& tank, double limit_degC);
/// Smallest bath [m3] like `tank` (which holds `volume_m3`) that takes `blades` in a row and stays below
/// `limit_degC`: its heat capacity grows with the volume, its loss with volume^(2/3) as tank_loss_W_K() says.
/// NaN when none up to a thousand times as large does.
double least_volume_for_row_m3(const Tank& tank, double volume_m3, double limit_degC, int blades);

} // namespace tq::surroundings
