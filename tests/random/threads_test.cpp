// Runs know nothing of each other: the same bits alone and among any number of threads.
#include "answer_figures.hpp"
#include "conduction/for_every_processor.hpp"
#include "random_case.hpp"
#include "treatment/run.hpp"

#include <gtest/gtest.h>

#include <atomic>
#include <cstring>
#include <thread>
#include <vector>

namespace {

using namespace tq;
using namespace tq::treatment;

/// All numbers of a run in one row, to be compared bit by bit (a NaN equals itself).
class Row {
 public:
  void add(double v) { numbers_.push_back(v); }
  void add(const std::vector<double>& v) { numbers_.insert(numbers_.end(), v.begin(), v.end()); }
  void add(const NodeState& s) {
    for (const auto* field :
         {&s.temperature, &s.austenite, &s.pearlite, &s.bainite, &s.martensite, &s.ferrite, &s.cementite,
          &s.carbon, &s.scheil_pearlite, &s.scheil_bainite, &s.tempering, &s.time_at_temperature})
      add(*field);
  }
  void add(const Run& run) {
    for (const auto* list : {&run.time_s, &run.surroundings_degC, &run.outer_surface_max_degC,
                             &run.heat_out_J_m, &run.as_quenched_HV, &run.final_HV})
      add(*list);
    for (const auto* list : {&run.zones, &run.probes})
      for (const Trace& trace : *list)
        add(trace.temperature);
    for (const Event& e : run.events) {
      add(static_cast<double>(e.kind));
      add(static_cast<double>(e.zone));
      add(e.time_s);
      add(e.temperature_degC);
    }
    for (const Frame& frame : run.frames) {
      add(frame.time_s);
      add(frame.state);
      add(frame.hardness_HV);
    }
    for (const NodeState* state : {&run.after_furnace, &run.after_bath, &run.after_cool, &run.final_state})
      add(*state);
    const Counters& n = run.counters;
    for (long count : {n.steps, n.rejected, n.rhs, n.factorisations})
      add(static_cast<double>(count));
    for (const auto& span : run.spans)
      add(span.bath_end_degC);
    add(run.energy_residual);
  }
  bool same_bits(const Row& other) const {
    return numbers_.size() == other.numbers_.size() &&
           std::memcmp(numbers_.data(), other.numbers_.data(), numbers_.size() * sizeof(double)) == 0;
  }
  std::size_t size() const { return numbers_.size(); }

 private:
  std::vector<double> numbers_;
};

Row run_to_row(const Case& c, std::size_t station) {
  Row row;
  row.add(run_station(c, station));
  return row;
}

struct Job {
  const Case* of;
  std::size_t station;
};

/// Does the jobs with so many threads, each taking the next one that is left; rows in the order of the jobs.
std::vector<Row> all_rows(const std::vector<Job>& jobs, int thread_count) {
  std::vector<Row> rows(jobs.size());
  std::atomic<std::size_t> next{0};
  std::vector<std::thread> threads;
  for (int i = 0; i < thread_count; ++i)
    threads.emplace_back([&] {
      for (std::size_t job = next++; job < jobs.size(); job = next++)
        rows[job] = run_to_row(*jobs[job].of, jobs[job].station);
    });
  for (std::thread& thread : threads)
    thread.join();
  return rows;
}

/// The shipped cases and some random ones.
std::vector<Case> many_cases() {
  std::vector<Case> cases = test::shipped_cases();
  for (std::uint64_t seed = 1; seed <= 12; ++seed)
    cases.push_back(test::random_case(seed));
  return cases;
}

TEST(Threads, AnyNumberOverManyCases_SameBits) {
  const std::vector<Case> cases = many_cases();
  std::vector<Job> jobs;
  for (const Case& c : cases)
    for (std::size_t station = 0; station < c.blade.stations.size(); ++station)
      jobs.push_back({&c, station});
  std::vector<Row> alone;
  for (const Job& job : jobs)
    alone.push_back(run_to_row(*job.of, job.station));
  for (int count : {1, 2, 4}) {
    const std::vector<Row> rows = all_rows(jobs, count);
    for (std::size_t job = 0; job < jobs.size(); ++job) {
      EXPECT_GT(rows[job].size(), 1000u);
      EXPECT_TRUE(rows[job].same_bits(alone[job]))
          << count << " threads: " << jobs[job].of->title << ", station " << jobs[job].station;
    }
  }
}

TEST(Threads, OneCaseByAllAtOnce_SameBits) {
  const Case c = test::random_case(11);
  const Row alone = run_to_row(c, 0);
  for (const Row& row : all_rows(std::vector<Job>(8, {&c, 0}), 4))
    EXPECT_TRUE(row.same_bits(alone));
}

TEST(Threads, AnswersAtOnce_SameBits) {
  const Case c = test::shipped_cases().front();
  const auto row = [&] {
    Row figures;
    for (const auto& [name, value] : test::answer_figures(c))
      figures.add(value);
    return figures;
  };
  const Row alone = row();
  std::vector<Row> rows(4);
  std::vector<std::thread> threads;
  for (Row& r : rows)
    threads.emplace_back([&r, &row] { r = row(); });
  for (std::thread& thread : threads)
    thread.join();
  for (const Row& r : rows)
    EXPECT_TRUE(r.same_bits(alone));
}

TEST(Threads, RunTwiceInOneThread_SameBits) {
  const Case a = test::random_case(3), b = test::random_case(4);
  const Row first = run_to_row(a, 0);
  run_to_row(b, 0); // leaves nothing behind
  EXPECT_TRUE(run_to_row(a, 0).same_bits(first));
}

TEST(Processors, RunsOnEveryWidthOfVectors_SameBits) {
  const std::vector<Case> shipped = test::shipped_cases();
  for (const Case& c : {shipped.front(), test::random_case(3), test::random_case(4), test::random_case(5)}) {
    const conduction::Processor before = conduction::processor();
    const Row own = run_to_row(c, 0);
    for (const conduction::Processor p : conduction::processors()) {
      conduction::use_processor(p);
      EXPECT_TRUE(run_to_row(c, 0).same_bits(own)) << conduction::name_of(p) << ": " << c.title;
    }
    conduction::use_processor(before);
  }
}

} // namespace
