// Heat transfer to a quenching bath: the record's table corrected for bath temperature and agitation.
#pragma once

#include "records/coolant_record.hpp"

namespace tq::surroundings {

/// h over surface temperature [W/m2K over degC] of this bath at this temperature and agitation [m/s].
/// Identity at the table's own bath temperature without agitation.
records::Table bath_htc(const records::CoolantRecord& coolant, double bath_degC, double agitation_m_s);

/// Heat capacity [J/K] of `volume_m3` of the coolant.
double bath_heat_capacity(const records::CoolantRecord& coolant, double volume_m3);

} // namespace tq::surroundings
