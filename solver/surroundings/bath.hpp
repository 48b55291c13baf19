// Heat transfer to a quenching bath: the record's table corrected for bath temperature and agitation.
#pragma once

#include "records/coolant_record.hpp"

#include <vector>

namespace tq::surroundings {

/// The row of a correction table at `at`: linear between rows, the end rows hold outside them; no rows = no
/// correction.
records::StageCorrection correction_at(const std::vector<records::StageCorrection>& rows, double at);

/// h over surface temperature [W/m2K over degC] of this bath at this temperature and agitation [m/s].
/// Identity at the table's own bath temperature without agitation.
///
/// Assumes that bath temperature and agitation act independently (multipliers multiply, shifts add) and that
/// each stage of boiling scales as a whole: the convection multiplier holds below `convection_start_degC`,
/// the peak multiplier at the table's highest h, the film multiplier above `blanket_end_degC`; between
/// these the multiplier passes from one to the other as h climbs to its peak (both on logarithms), so that no
/// second hump can appear. The end of the vapour blanket
/// shifts by moving everything above it as it stands and stretching the stretch between peak and blanket's
/// end; the peak itself stays at its temperature. A blanket that would end less than a fifth of the way above
/// the peak is held there. The table's way of interpolating is kept, and it is extended (end value held)
/// down to the bath temperature. The table of still air is empty and stays empty.
records::Table bath_htc(const records::CoolantRecord& coolant, double bath_degC, double agitation_m_s);

/// h over surface temperature as the blade meets it: a table in ln h has its corners rounded by parabolas
/// over `rounding_K` to both sides (less between points that are near), much as curves recovered from tests
/// have (boiling_curve.hpp): boiling knows no corners. Other tables are linear between their points.
class BathCurve {
 public:
  static constexpr double rounding_K = 7;
  explicit BathCurve(records::Table htc);
  double operator()(double T) const;

 private:
  records::Table htc_;
  std::vector<double> half_width_, turn_; ///< [K], change of slope of ln h [1/K] of each point's corner
};

/// Heat capacity [J/K] of `volume_m3` of the coolant.
double bath_heat_capacity(const records::CoolantRecord& coolant, double volume_m3);

} // namespace tq::surroundings
