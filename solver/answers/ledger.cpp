#include "answers/ledger.hpp"

#include <algorithm>

namespace tq::answers {

const VerdictEntry* Ledger::verdict(std::string_view key, int station, int zone) const {
  const auto at = std::find_if(verdicts.begin(), verdicts.end(), [&](const VerdictEntry& v) {
    return v.key == key && v.station == station && v.zone == zone;
  });
  return at == verdicts.end() ? nullptr : &*at;
}

const FigureEntry* Ledger::figure(std::string_view name, int station, int zone) const {
  const auto at = std::find_if(figures.begin(), figures.end(), [&](const FigureEntry& f) {
    return name == f.figure->meaning.name && f.station == station && f.zone == zone;
  });
  return at == figures.end() ? nullptr : &*at;
}

Ledger ledger_of(const Answers& judged, const Bands* bands, const Risks* risks) {
  Ledger out;
  out.draws = judged.draws;
  const auto verdicts = [&](const auto& of, int station) {
    out.verdicts.push_back({"soak", station, no_zone, of.soak});
    out.verdicts.push_back({"quench", station, no_zone, of.quench});
    out.verdicts.push_back({"hardness", station, no_zone, of.hardness});
  };
  verdicts(judged, whole_blade);
  if (risks != nullptr) {
    out.verdicts.push_back({"bow", whole_blade, no_zone, risks->bow});
    out.verdicts.push_back({"crack", whole_blade, no_zone, risks->crack.crack});
    out.verdicts.push_back({"oil", whole_blade, no_zone, risks->oil});
    out.verdicts.push_back({"edge", whole_blade, no_zone, risks->edge});
    for (std::size_t k = 0; k < risks->stations.size(); ++k)
      out.verdicts.push_back({"bow", static_cast<int>(k), no_zone, risks->stations[k].bow});
  }
  for (std::size_t k = 0; k < judged.stations.size(); ++k) {
    const StationAnswer& s = judged.stations[k];
    const StationBands* drawn = bands != nullptr ? &bands->stations.at(k) : nullptr;
    const auto station = static_cast<int>(k);
    verdicts(s, station);
    for (int z = 0; z < treatment::zone_count; ++z)
      out.verdicts.push_back({"hardens", station, z, s.zones[static_cast<std::size_t>(z)].hardens});
    const auto banded = [](const Band* band) {
      return band != nullptr ? std::optional(*band) : std::nullopt;
    };
    for (const Figure& f : figures())
      if (f.of_station != nullptr)
        out.figures.push_back({&f, station, no_zone, f.of_station(s),
                               banded(drawn != nullptr ? drawn->find(f.meaning.name) : nullptr)});
      else
        for (int z = 0; z < treatment::zone_count; ++z) {
          const auto zone = static_cast<std::size_t>(z);
          out.figures.push_back(
              {&f, station, z, f.of_zone(s.zones[zone]),
               banded(drawn != nullptr ? drawn->zones[zone].find(f.meaning.name) : nullptr)});
        }
  }
  return out;
}

std::string judged_text(int draws) {
  return draws > 0 ? units::formatted("judged by %d draws", draws) : "judged as stated";
}

} // namespace tq::answers
