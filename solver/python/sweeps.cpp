#include "python/sweeps.hpp"

#include "output/files/rows_file.hpp"
#include "output/files/sweep_file.hpp"
#include "program/open_plan.hpp"
#include "python/watched_executor.hpp"
#include "sweep/order.hpp"

#include <algorithm>
#include <limits>
#include <pybind11/numpy.h>
#include <pybind11/stl.h>

namespace py = pybind11;

namespace tq::python {
namespace {

using records::InputError;

/// The memory of a vector as an array, handed over and not copied.
template <class T>
py::array array_of(std::vector<T> values, std::vector<py::ssize_t> shape) {
  auto* kept = new std::vector<T>(std::move(values));
  const py::capsule owner(kept, [](void* p) { delete static_cast<std::vector<T>*>(p); });
  return py::array(py::dtype::of<T>(), std::move(shape), {}, kept->data(), owner);
}

class Plan {
 public:
  Plan(const std::string& path, const std::string& materials)
      : opened_(program::open_plan(path, folder_or_none(materials))), order_(opened_.plan),
        head_(program::rows_head(opened_, {}, "a sweep from Python")) {}

  const sweep::Plan& plan() const { return opened_.plan; }
  const sweep::Order& order() const { return order_; }
  const output::RowsHead& head() const { return head_; }

  std::vector<std::string> columns() const {
    std::vector<std::string> out;
    for (const sweep::Column& column : opened_.columns)
      out.push_back(column.name);
    return out;
  }
  std::vector<std::pair<std::string, std::string>> settings(std::size_t number) const {
    if (number >= order_.cases())
      throw py::index_error("the plan has no such case");
    std::vector<std::pair<std::string, std::string>> out;
    for (const records::Setting& each : opened_.plan.settings(number))
      out.emplace_back(each.path, each.value);
    return out;
  }

  /// The cases at the places from ... to before `end`: their numbers, values and failures.
  py::tuple rows(std::size_t from, std::size_t end) const {
    if (from > end || end > order_.cases())
      throw py::index_error("the plan has no such places");
    const std::size_t n = end - from;
    std::vector<std::int64_t> numbers;
    std::vector<double> values(n * head_.width, std::numeric_limits<double>::quiet_NaN());
    std::vector<std::string> failures;
    without_lock([&] {
      SignalWatch watch;
      sweep::Treater treater(opened_.columns, opened_.plan.draws, opened_.plan.seed);
      for (std::size_t place = from; place < end; ++place) {
        if (!watch.go_on())
          throw treatment::Interrupted();
        const sweep::Row row = row_at(place, treater);
        std::copy(row.values.begin(), row.values.end(),
                  values.begin() + static_cast<std::ptrdiff_t>((place - from) * head_.width));
        numbers.push_back(static_cast<std::int64_t>(row.number));
        failures.push_back(row.failure);
      }
      return true;
    });
    return py::make_tuple(
        array_of(std::move(numbers), {static_cast<py::ssize_t>(n)}),
        array_of(std::move(values), {static_cast<py::ssize_t>(n), static_cast<py::ssize_t>(head_.width)}),
        failures);
  }

 private:
  sweep::Row row_at(std::size_t place, sweep::Treater& treater) const {
    sweep::Row row;
    row.number = order_.case_at(place);
    try {
      row.values = treater.values(opened_.read(opened_.plan.settings(row.number)));
    } catch (const InputError& error) {
      row.failure = error.what();
    } catch (const treatment::SolverError& error) {
      row.failure = error.what();
    }
    return row;
  }

  program::OpenedPlan opened_;
  sweep::Order order_;
  output::RowsHead head_;
};

/// A file of rows that is written, and the result that is made of it.
class Store {
 public:
  Store(const Plan& plan, const std::string& path)
      : rows_(path, plan.head()), order_(plan.order()), head_(plan.head()) {}

  std::size_t rows() const { return rows_.rows(); }
  /// Ranges of places of which no row is there.
  std::vector<std::pair<std::size_t, std::size_t>> missing() const {
    std::vector<std::pair<std::size_t, std::size_t>> out;
    for (std::size_t place = 0; place < order_.cases(); ++place) {
      if (rows_.has(order_.case_at(place)))
        continue;
      if (out.empty() || out.back().second != place)
        out.emplace_back(place, place);
      out.back().second = place + 1;
    }
    return out;
  }
  void add(const std::string& plan_sha256, const py::array_t<std::int64_t>& numbers,
           const py::array_t<double, py::array::c_style>& values, const std::vector<std::string>& failures) {
    if (plan_sha256 != head_.plan_sha256)
      throw InputError(
          "these rows are of another plan (or a case, a record or the program is another there)");
    if (numbers.ndim() != 1 || values.ndim() != 2 || values.shape(0) != numbers.shape(0) ||
        static_cast<std::size_t>(values.shape(1)) != head_.width ||
        failures.size() != static_cast<std::size_t>(numbers.shape(0)))
      throw InputError("these rows have not the shape of the plan's");
    for (py::ssize_t k = 0; k < numbers.shape(0); ++k) {
      sweep::Row row;
      row.number = static_cast<std::size_t>(numbers.at(k));
      if (row.number >= head_.cases)
        throw InputError("the plan has no case " + std::to_string(numbers.at(k)));
      row.failure = failures[static_cast<std::size_t>(k)];
      if (rows_.has(row.number))
        continue;
      if (row.failure.empty())
        row.values.assign(values.data(k, 0), values.data(k, 0) + head_.width);
      rows_.add(row);
    }
  }
  void write(const std::string& result) const {
    if (rows_.rows() < head_.cases)
      throw InputError(rows_.path().string() + ": " + std::to_string(head_.cases - rows_.rows()) +
                       " cases are missing");
    std::vector<output::RowsReader> parts;
    parts.emplace_back(rows_.path());
    output::write_sweep_file(result, parts);
  }

 private:
  output::RowsFile rows_;
  sweep::Order order_;
  output::RowsHead head_;
};

} // namespace

void add_sweeps(py::module_& m) {
  py::class_<Plan>(m, "Plan", "A plan of a sweep, read with all that it names.")
      .def(py::init<const std::string&, const std::string&>(), py::arg("path"), py::arg("materials"))
      .def_property_readonly("title", [](const Plan& p) { return p.plan().title; })
      .def_property_readonly("cases", [](const Plan& p) { return p.order().cases(); })
      .def_property_readonly("together", [](const Plan& p) { return p.order().quench_run(); })
      .def_property_readonly("sha256", [](const Plan& p) { return p.head().plan_sha256; })
      .def_property_readonly("columns", &Plan::columns)
      .def("settings", &Plan::settings, py::arg("number"))
      .def("rows", &Plan::rows, py::arg("first"), py::arg("end"));
  py::class_<Store>(m, "Store", "The file of rows of a plan.")
      .def(py::init<const Plan&, const std::string&>(), py::arg("plan"), py::arg("path"))
      .def_property_readonly("rows", &Store::rows)
      .def("missing", &Store::missing)
      .def("add", &Store::add, py::arg("plan_sha256"), py::arg("numbers"), py::arg("values"),
           py::arg("failures"))
      .def("write", &Store::write, py::arg("result"));
}

} // namespace tq::python
