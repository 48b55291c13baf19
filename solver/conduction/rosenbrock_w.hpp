// A Rosenbrock-W stepper for systems that bring their own approximate solve of (I - gamma dt J) w = r, as an
// error stepper, a controlled stepper and a dense-output stepper in the sense of Boost.Odeint, and the loop
// that drives it.
#pragma once

#include "conduction/kernels.hpp"
#include "conduction/tableau.hpp"
#include "units/math.hpp"

#include <Eigen/Core>
#include <boost/numeric/odeint/stepper/controlled_step_result.hpp>
#include <boost/numeric/odeint/stepper/stepper_categories.hpp>
#include <boost/numeric/odeint/util/unwrap_reference.hpp>

#include <algorithm>
#include <array>
#include <cmath>
#include <concepts>
#include <functional>
#include <limits>
#include <stdexcept>
#include <utility>

namespace tq::conduction {

using State = Eigen::VectorXd;

/// What the stepper needs of a system dx/dt = f(x, t).
template <class S>
concept LinearlyImplicit = requires(S s, const State& x, State& y, double t) {
  s(x, y, t);                                            // y = f(x, t)
  s.linearise(x, t);                                     // takes the (approximate) Jacobian at x
  s.factorise(t);                                        // prepares (I - t J), t = gamma dt [s]
  s.solve(y);                                            // y := (I - gamma dt J)^-1 y
  { s.error_norm(x, x) } -> std::convertible_to<double>; // of (error, state), 1 = at tolerance
};

/// Entries of the state that a step moves, the first ones: all of them, unless the system says less.
template <class S>
std::size_t moving_size(const S& s, const State& x) {
  if constexpr (requires { s.moving_size(); })
    return s.moving_size();
  else
    return static_cast<std::size_t>(x.size());
}

/// Error stepper: one step of ROS34PW2 with its embedded error estimate. Pass the system by std::ref.
class RosenbrockW {
 public:
  using state_type = State;
  using deriv_type = State;
  using value_type = double;
  using time_type = double;
  using order_type = unsigned short;
  using stepper_category = boost::numeric::odeint::error_stepper_tag;

  order_type order() const { return 3; }
  order_type stepper_order() const { return 3; }
  order_type error_order() const { return 2; }

  /// One step from `in` at t to `out` at t + dt; `error` is the embedded estimate.
  template <class System>
  void do_step(System system, const State& in, double t, State& out, double dt, State& error) {
    auto& s = unwrap(system);
    first_.resize(in.size());
    s(in, first_, t);
    s.linearise(in, t);
    do_step_from(s, in, first_, t, out, dt, error);
  }
  template <class System>
  void do_step(System system, State& x, double t, double dt, State& error) {
    do_step(system, State(x), t, x, dt, error);
  }
  template <class System>
  void do_step(System system, const State& in, double t, State& out, double dt) {
    do_step(system, in, t, out, dt, scratch_error_);
  }
  template <class System>
  void do_step(System system, State& x, double t, double dt) {
    do_step(system, State(x), t, x, dt, scratch_error_);
  }

  /// The step when f(in, t) is known and the system is already linearised there.
  template <LinearlyImplicit System>
  void do_step_from(System& s, const State& in, const State& f_in, double t, State& out, double dt,
                    State& error) {
    static constexpr TransformedTableau k = transform(ros34pw2);
    const Eigen::Index n = in.size();
    for (auto& u : u_)
      u.resize(n);
    out.resize(n);
    error.resize(n);
    rate_.resize(n);
    s.factorise(k.gamma * dt);
    const double g = k.gamma;
    const double gdt = k.gamma * dt;
    const std::array<const double*, 4> u{u_[0].data(), u_[1].data(), u_[2].data(), u_[3].data()};
    const std::size_t size = moving_size(s, in);
    std::copy(in.data() + size, in.data() + n, out.data() + size);
    kernels::combine(size, f_in.data(), gdt, u, {}, 0, u_[0].data());
    s.solve(u_[0]);
    for (std::size_t i = 1; i < k.stages; ++i) {
      std::array<double, 4> c{};
      for (std::size_t j = 0; j < i; ++j)
        c[j] = g * k.c[i][j];
      const int count = static_cast<int>(i);
      kernels::combine(size, in.data(), 1, u, k.a[i], count, out.data());
      s(out, rate_, t + k.alpha_sum[i] * dt);
      kernels::combine(size, rate_.data(), gdt, u, c, count, u_[i].data());
      s.solve(u_[i]);
    }
    kernels::combine(size, in.data(), 1, u, k.m, 4, out.data());
    kernels::combine(size, nullptr, 0, u, k.e, 4, error.data());
  }

  template <class System>
  static auto& unwrap(System& system) {
    return static_cast<typename boost::numeric::odeint::unwrap_reference<System>::type&>(system);
  }

 private:
  std::array<State, RosenbrockTableau::stages> u_;
  State rate_, first_, scratch_error_;
};

/// Step-size rule of a third-order method with a second-order error estimate.
struct StepRule {
  double safety = 0.85;
  double least_factor = 0.15, most_factor = 4.0;
  double max_step_s = 0; ///< 0 = free

  /// Factor on dt after a step whose error norm was `err` (1 = at tolerance).
  double factor(double err) const {
    return std::clamp(safety * math::pow(std::max(err, 1e-10), -1.0 / 3.0), least_factor, most_factor);
  }
};

/// Controlled stepper for Odeint's drivers: the error norm is the system's own.
class ControlledRosenbrockW {
 public:
  using stepper_type = RosenbrockW;
  using state_type = State;
  using deriv_type = State;
  using value_type = double;
  using time_type = double;
  using stepper_category = boost::numeric::odeint::controlled_stepper_tag;

  explicit ControlledRosenbrockW(StepRule rule = {}) : rule_(rule) {}

  template <class System>
  boost::numeric::odeint::controlled_step_result try_step(System system, State& x, double& t, double& dt) {
    const auto result = try_step(system, x, t, out_, dt);
    if (result == boost::numeric::odeint::success)
      x.swap(out_);
    return result;
  }
  template <class System>
  boost::numeric::odeint::controlled_step_result try_step(System system, const State& in, double& t,
                                                          State& out, double& dt) {
    auto& s = RosenbrockW::unwrap(system);
    slope_.resize(in.size());
    s(in, slope_, t);
    s.linearise(in, t);
    return try_step(system, in, slope_, t, out, dt);
  }
  /// With the slope at (in, t) known and the system linearised there, which both stand for all attempts.
  template <class System>
  boost::numeric::odeint::controlled_step_result try_step(System system, const State& in, const State& slope,
                                                          double& t, State& out, double& dt) {
    auto& s = RosenbrockW::unwrap(system);
    if (rule_.max_step_s > 0 && dt > rule_.max_step_s) {
      dt = rule_.max_step_s;
      return boost::numeric::odeint::fail;
    }
    stepper_.do_step_from(s, in, slope, t, out, dt, error_);
    const double err = s.error_norm(error_, in);
    if (!(err <= 1.0)) {
      dt *= std::isfinite(err) ? std::min(rule_.factor(err), 0.7) : rule_.least_factor;
      return boost::numeric::odeint::fail;
    }
    t += dt;
    dt *= rule_.factor(err);
    return boost::numeric::odeint::success;
  }

  const StepRule& rule() const { return rule_; }

 private:
  RosenbrockW stepper_;
  StepRule rule_;
  State out_, error_, slope_;
};

/// Dense-output stepper over the controlled one: the parabola through the last three accepted states (the
/// chord in the first step after a jump). Slopes are not used: on a stiff system f(x) at a numerical state
/// amplifies the error left in fast modes.
class DenseRosenbrockW {
 public:
  using state_type = State;
  using deriv_type = State;
  using value_type = double;
  using time_type = double;
  using stepper_category = boost::numeric::odeint::dense_output_stepper_tag;

  explicit DenseRosenbrockW(StepRule rule = {}) : controlled_(rule) {}

  /// Starts at x0, t0 with the trial step dt0. `x0` may be current_state().
  void initialize(const State& x0, double t0, double dt0) {
    State copy = x0;
    x_.swap(copy);
    x_old_ = x_;
    t_ = t_old_ = t_older_ = t0;
    dt_ = dt0;
    history_ = 0;
  }
  /// The right-hand side has jumped at the current time: nothing before it tells about what follows.
  void reset() { history_ = 0; }

  /// One accepted step; returns (t_old, t). `limit` ends the step there at the latest.
  template <class System>
  std::pair<double, double> do_step(System system) {
    return do_step_until(system, std::numeric_limits<double>::infinity());
  }
  template <class System>
  std::pair<double, double> do_step_until(System system, double limit) {
    auto& s = RosenbrockW::unwrap(system);
    slope_.resize(x_.size());
    s(x_, slope_, t_);
    ++rhs_;
    s.linearise(x_, t_);
    for (int attempt = 0; attempt < 60; ++attempt) {
      double dt = dt_;
      if (controlled_.rule().max_step_s > 0)
        dt = std::min(dt, controlled_.rule().max_step_s);
      const double left = limit - t_;
      bool last = false;
      if (dt >= left * (1 - 1e-6)) {
        dt = left;
        last = true;
      } else if (2 * dt > left) {
        dt = 0.5 * left; // no sliver at the end
      }
      double t = t_, next = dt;
      const auto result = controlled_.try_step(system, x_, slope_, t, out_, next);
      rhs_ += 3;
      ++factorisations_;
      if (result == boost::numeric::odeint::success) {
        // a step cut short by the limit says little about the next one: do not shrink the plan for it
        dt_ = (dt < dt_ && next >= dt) ? std::max(dt_, next) : next;
        if (rejected_last_)
          dt_ = std::min(dt_, dt);
        rejected_last_ = false;
        x_older_.swap(x_old_);
        x_old_.swap(x_);
        x_.swap(out_);
        t_older_ = t_old_;
        t_old_ = t_;
        t_ = last ? limit : t;
        history_ = std::min(history_ + 1, 2);
        ++steps_;
        return {t_old_, t_};
      }
      ++rejected_;
      rejected_last_ = true;
      dt_ = next;
      if (!(dt_ > 1e-12))
        break;
    }
    throw std::runtime_error("the time step fell below 1e-12 s");
  }

  /// State at `t` inside the last step.
  void calc_state(double t, State& x) const {
    const double dt = t_ - t_old_, before = t_old_ - t_older_;
    const double w = dt > 0 ? (t - t_old_) / dt : 1.0;
    x = (1 - w) * x_old_ + w * x_;
    if (history_ >= 2 && before > 0) {
      // second divided difference of the three states times (t - t_old)(t - t_now)
      const double scale = (t - t_old_) * (t - t_) / (dt + before);
      x += (scale / dt) * (x_ - x_old_) - (scale / before) * (x_old_ - x_older_);
    }
  }

  /// Time inside the last step at which `f(state)` crosses zero, to `resolution_s`; f must have opposite
  /// signs at the step's two ends (`f_old` is its value at the old one).
  template <class F>
  double locate(F&& f, double f_old, double resolution_s) {
    double a = t_old_, b = t_;
    while (b - a > resolution_s) {
      const double middle = 0.5 * (a + b);
      calc_state(middle, out_);
      ((f(out_) < 0) == (f_old < 0) ? a : b) = middle;
    }
    return 0.5 * (a + b);
  }

  const State& current_state() const { return x_; }
  State& current_state() { return x_; }
  const State& previous_state() const { return x_old_; }
  double current_time() const { return t_; }
  double previous_time() const { return t_old_; }
  double current_time_step() const { return dt_; }
  void limit_time_step(double dt) { dt_ = std::min(dt_, dt); }
  long steps() const { return steps_; }
  long rejected() const { return rejected_; }
  long rhs_evaluations() const { return rhs_; }
  long factorisations() const { return factorisations_; }

 private:
  ControlledRosenbrockW controlled_;
  State x_, x_old_, x_older_, out_, slope_;
  double t_ = 0, t_old_ = 0, t_older_ = 0, dt_ = 1e-3;
  int history_ = 0;
  bool rejected_last_ = false;
  long steps_ = 0, rejected_ = 0, rhs_ = 0, factorisations_ = 0;
};

} // namespace tq::conduction
