// The outermost tenths of a millimetre: skin, scale and grinding, grain, what file and tester will say,
// temper colour; from the temperatures a run has recorded.
#pragma once

#include "answers/answers.hpp"
#include "steel/skin.hpp"

namespace tq::answers {

/// Whether the surface is also told what would be sensible and what file, tester and eye make of it, which
/// takes as long as all the rest; the bands need none of it.
enum class Advice { none, full };

/// Fills the answer about the surface. Steel in a wrap is covered while it is on; before the oil takes it and
/// when nothing is wrapped it stands in open air. `s` gives the hardness of the zones. Nothing for inert
/// steel.
SurfaceAnswer surface_answer(const treatment::Case& c, const section::Profile& profile,
                             const treatment::Run& run, const StationAnswer& s, Advice advice = Advice::full);

/// What the edge's surface has been through until a liquid took it, for steel::skin_over().
std::vector<steel::SkinPoint> skin_history(const treatment::Case& c, const treatment::Run& run);
/// What the skin of this case depends on besides.
steel::SkinSettings skin_settings(const treatment::Case& c);

} // namespace tq::answers
