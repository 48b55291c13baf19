// The extension module thinquench._engine; thinquench/__init__.py is what people import.
#include "output/files/files.hpp"
#include "output/json.hpp"
#include "program/material_library.hpp"
#include "python/sweeps.hpp"
#include "python/views.hpp"
#include "python/watched_executor.hpp"

#include <chrono>
#include <pybind11/stl.h>

namespace py = pybind11;

namespace tq::python {
namespace {

using Settings = std::vector<std::pair<std::string, std::string>>;

/// What a call of compute() asks for.
struct Request {
  std::string text, file; ///< of the case; `file` as messages name it
  std::string beside;     ///< folder from which paths in the case count
  std::string materials;  ///< folder of the records; empty: looked for
  Settings settings;      ///< key and value as TOML
  int members = 0;
  std::uint64_t seed = 1;
  bool risks = true;
  int threads = 1;
};

/// A computed case with its JSON document.
class Result {
 public:
  explicit Result(const Request& request) : held_(std::make_shared<Held>()) {
    const auto begin = std::chrono::steady_clock::now();
    const program::MaterialLibrary library(program::find_materials(folder_or_none(request.materials)),
                                           request.beside);
    answers::ComputeSettings settings;
    settings.members = request.members;
    settings.seed = request.seed;
    settings.risks = request.risks;
    for (const auto& [key, value] : request.settings)
      settings.laid_on.push_back({key, value});
    SignalWatch watch;
    WatchedExecutor executor(request.threads, watch);
    held_->computed = answers::compute(request.text, request.file, library, settings, &executor,
                                       [&](double, treatment::Part) { return watch.go_on(); });
    info_.command_line = "compute() from Python";
    info_.case_file = request.file;
    info_.record_files = library.handed_out();
    info_.wall_s = std::chrono::duration<double>(std::chrono::steady_clock::now() - begin).count();
  }

  std::string document() const {
    const answers::Computed& c = held_->computed;
    return output::answers_json(c.contents, c.runs, c.answers, info_,
                                {c.bands ? &*c.bands : nullptr, nullptr, c.risks ? &*c.risks : nullptr});
  }
  std::size_t stations() const { return held_->computed.runs.size(); }
  py::dict arrays(std::size_t station) const { return station_views(held_, station); }

 private:
  std::shared_ptr<Held> held_;
  output::OutputInfo info_;
};

Result computed(const Request& request) {
  return without_lock([&] { return Result(request); });
}

std::vector<std::string> record_keys(const std::string& kind, const std::string& materials) {
  using treatment::RecordKind;
  const program::MaterialLibrary library(program::find_materials(folder_or_none(materials)), ".");
  for (const RecordKind each : {RecordKind::steel, RecordKind::coolant, RecordKind::foil, RecordKind::solid})
    if (kind == treatment::record_kind_name(each))
      return library.keys(each);
  throw records::InputError("'" + kind + "' is no kind of record; there are steel, coolant, foil and solid");
}

} // namespace
} // namespace tq::python

PYBIND11_MODULE(_engine, m) {
  using namespace tq;
  using namespace tq::python;
  m.doc() = "The solver; use the functions of thinquench.";
  py::register_exception<records::InputError>(m, "InputError", PyExc_ValueError);
  py::register_exception<treatment::SolverError>(m, "SolverError", PyExc_RuntimeError);
  py::register_exception<output::WriteError>(m, "WriteError", PyExc_OSError);
  py::class_<Held, std::shared_ptr<Held>>(m, "Held", "Memory of a computed case, kept alive by its arrays.");
  py::class_<Result>(m, "Result", "A computed case.")
      .def("document", &Result::document, "The answers as the text of the JSON document.")
      .def_property_readonly("stations", &Result::stations, "How many stations the case has.")
      .def("arrays", &Result::arrays, py::arg("station"), "Traces, grid and fields of a station.");
  m.def(
      "compute",
      [](std::string text, std::string file, std::string beside, std::string materials, Settings settings,
         int members, std::uint64_t seed, bool risks, int threads) {
        return computed({std::move(text), std::move(file), std::move(beside), std::move(materials),
                         std::move(settings), members, seed, risks, threads});
      },
      py::kw_only(), py::arg("text"), py::arg("file"), py::arg("beside"), py::arg("materials"),
      py::arg("settings"), py::arg("members"), py::arg("seed"), py::arg("risks"), py::arg("threads"),
      "Computes a case without the interpreter's lock.");
  m.def("record_keys", &record_keys, py::arg("kind"), py::arg("materials"), "Keys of the shipped records.");
  add_sweeps(m);
  m.attr("__version__") = TQ_VERSION;
}
