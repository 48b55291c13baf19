#include "records/read_probe.hpp"

#include "records/document.hpp"
#include "records/sourced.hpp"

#include <filesystem>
#include <utility>

namespace tq::records {

ProbeRecord read_probe(std::string_view text, std::string file) {
  ProbeRecord probe;
  probe.key = std::filesystem::path(file).stem().string();
  const Node root = parse_document(text, std::move(file));
  const Sourced record(root, probe.provenance);
  probe.name = root.text("name", probe.key);
  probe.description = root.text("description", "");

  if (const auto body = record.optional_table("body")) {
    const std::string shape = body->node().choice("shape", {"plate", "cylinder", "sphere"});
    ProbeBody size;
    size.shape = shape == "plate"      ? BodyShape::plate
                 : shape == "cylinder" ? BodyShape::cylinder
                                       : BodyShape::sphere;
    size.thickness_m = body->quantity("thickness", "length", {5e-4, 0.2});
    size.start_degC = body->quantity("start", "temperature", {100, 1200});
    probe.body = size;
  }
  if (const auto sensor = record.optional_table("sensor"))
    probe.sensor_lag_s = sensor->quantity("lag", "time", {0, 10});

  constexpr Range any_degC{-273, 2000};
  probe.density_kg_m3 = record.quantity("density", "density", {500, 25000});
  probe.conductivity_W_mK =
      record.points("conductivity", "temperature", "temperature", any_degC, "conductivity", {0.1, 1000}, 1);
  probe.specific_heat_J_kgK =
      record.points("specific_heat", "temperature", "temperature", any_degC, "specific_heat", {50, 10000}, 1);

  const Sourced spread = record.table("spread");
  probe.conductivity_spread = spread.quantity("conductivity", "fraction", {0, 0.5});
  probe.specific_heat_spread = spread.quantity("specific_heat", "fraction", {0, 0.5});
  probe.sensor_lag_spread_s = spread.optional_quantity("sensor_lag", "time", {0, 10}).value_or(0.0);

  root.finish();
  return probe;
}

} // namespace tq::records
