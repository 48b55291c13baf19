#include "python/views.hpp"

#include <array>
#include <string>
#include <utility>

namespace py = pybind11;

namespace tq::python {
namespace {

using Numbers = std::vector<double>;

/// The fields of a frame and how files call them.
constexpr std::array<std::pair<const char*, Numbers treatment::NodeState::*>, 13> fields = {{
    {"temperature", &treatment::NodeState::temperature},
    {"austenite", &treatment::NodeState::austenite},
    {"pearlite", &treatment::NodeState::pearlite},
    {"bainite", &treatment::NodeState::bainite},
    {"martensite", &treatment::NodeState::martensite},
    {"ferrite", &treatment::NodeState::ferrite},
    {"cementite", &treatment::NodeState::cementite},
    {"carbon_in_solution", &treatment::NodeState::carbon},
    {"grain", &treatment::NodeState::grain},
    {"scheil_pearlite", &treatment::NodeState::scheil_pearlite},
    {"scheil_bainite", &treatment::NodeState::scheil_bainite},
    {"hollomon_jaffe", &treatment::NodeState::tempering},
    {"time_at_temperature", &treatment::NodeState::time_at_temperature},
}};

class Views {
 public:
  explicit Views(const std::shared_ptr<Held>& held) : owner_(py::cast(held)) {}

  py::array line(const Numbers& values) const {
    return locked(py::array(py::dtype::of<double>(), {values.size()}, {}, values.data(), owner_));
  }
  /// [j, i] over the nodes of the grid that was solved.
  py::array plane(const Numbers& values, const section::Grid& grid) const {
    const std::size_t rows = static_cast<std::size_t>(grid.ny), columns = static_cast<std::size_t>(grid.nx);
    return locked(py::array(py::dtype::of<double>(), {rows, columns}, {}, values.data(), owner_));
  }
  py::dict traces(const std::vector<treatment::Trace>& traces) const {
    py::dict out;
    for (const treatment::Trace& trace : traces)
      out[py::str(trace.name)] = line(trace.temperature);
    return out;
  }

 private:
  static py::array locked(py::array view) {
    view.attr("setflags")(py::arg("write") = false);
    return view;
  }
  py::object owner_;
};

py::array heights(const section::Grid& grid) {
  const std::size_t rows = static_cast<std::size_t>(grid.ny), columns = static_cast<std::size_t>(grid.nx);
  py::array_t<double> y({rows, columns});
  auto at = y.mutable_unchecked<2>();
  for (int j = 0; j < grid.ny; ++j)
    for (int i = 0; i < grid.nx; ++i)
      at(j, i) = grid.y(i, j);
  return y;
}

py::dict frames_of(const Views& views, const treatment::Run& run) {
  py::array_t<double> times(static_cast<py::ssize_t>(run.frames.size()));
  auto at = times.mutable_unchecked<1>();
  py::list stages;
  for (std::size_t k = 0; k < run.frames.size(); ++k) {
    at(static_cast<py::ssize_t>(k)) = run.frames[k].time_s;
    stages.append(treatment::part_name(run.frames[k].part));
  }
  py::dict out;
  out["time"] = times;
  out["stage"] = stages;
  const auto add = [&](const char* name, const auto& values_of) {
    py::list planes;
    for (const treatment::Frame& frame : run.frames) {
      const Numbers& values = values_of(frame);
      if (values.size() != run.grid.nodes())
        return; // an inert steel has none
      planes.append(views.plane(values, run.grid));
    }
    out[name] = planes;
  };
  for (const auto& [name, member] : fields) {
    const auto field = member; // clang 14 captures no structured binding
    add(name, [field](const treatment::Frame& frame) -> const Numbers& { return frame.state.*field; });
  }
  add("hardness_vickers", [](const treatment::Frame& frame) -> const Numbers& { return frame.hardness_HV; });
  return out;
}

} // namespace

py::dict station_views(const std::shared_ptr<Held>& held, std::size_t station) {
  const treatment::Run& run = held->computed.runs.at(station);
  const Views views(held);
  py::dict out;
  out["name"] = run.station;
  out["time"] = views.line(run.time_s);
  out["surroundings"] = views.line(run.surroundings_degC);
  out["outer_surface_max"] = views.line(run.outer_surface_max_degC);
  out["hottest"] = views.line(run.hottest_degC);
  out["heat_out"] = views.line(run.heat_out_J_m);
  out["zones"] = views.traces(run.zones);
  out["probes"] = views.traces(run.probes);
  out["half"] = run.grid.half;
  out["x"] = views.line(run.grid.x);
  out["y"] = heights(run.grid);
  out["frames"] = frames_of(views, run);
  return out;
}

} // namespace tq::python
