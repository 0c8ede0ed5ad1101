// Arrivals: what came over the ports, on its way to whoever takes it.
#pragma once

#include <boost/asio/io_context.hpp>
#include <boost/asio/steady_timer.hpp>
#include <chrono>
#include <cstddef>
#include <deque>

#include "core/base/clock.hpp"

namespace nestcup::drivers {

/// Takes the bytes that it put down with Arrivals.
class ArrivalTaker {
 public:
  virtual ~ArrivalTaker() = default;
  /// The next `size` of its bytes, stamped with the bench time at which they were read.
  virtual void take_arrival(std::size_t size, TimeUs stamp_us) = 0;
};

/// One queue for all ports of an io_context: arrivals are handed over in the order in which they
/// came, whatever port they came over. Where many ports talk they are handed over together, a short
/// while after they were stamped: a processor that was woken has forgotten (caches, tables of
/// pages) the way from bytes to the store, and finding it again costs several times what going it
/// does. In between the ports are looked at, so that what comes meanwhile is stamped in time. Where
/// few talk, nothing waits.
///
/// To be used from the io_context's thread only.
class Arrivals : public boost::asio::execution_context::service {
 public:
  static boost::asio::execution_context::id id;

  explicit Arrivals(boost::asio::io_context& context);
  /// Those of an io_context.
  [[nodiscard]] static Arrivals& of(boost::asio::io_context& context);

  /// @param longest  how long they may wait (machine time); 0: they are handed over at once
  void put(ArrivalTaker& taker, std::size_t size, TimeUs stamp_us,
           std::chrono::nanoseconds longest);
  /// Hands over all that waits. Does nothing where that is going on already: a taker never gets
  /// bytes while it is at others.
  void hand_over();
  /// To be called before a taker goes. Nothing of its own is handed over afterwards.
  void forget(const ArrivalTaker& taker);

 private:
  using Steady = std::chrono::steady_clock;
  struct Waiting {
    ArrivalTaker* taker;
    std::size_t size;
    TimeUs stamp_us;
  };

  void shutdown() override;
  void wait(std::chrono::nanoseconds longest);
  void hand_over_in_turns();
  void hand_over_until(Steady::time_point end);

  boost::asio::io_context& context_;
  std::deque<Waiting> waiting_;
  bool handing_over_ = false;
  bool timed_ = false;         // what waits will be handed over: the timer runs, or a turn is due
  Steady::time_point last_{};  // when the newest came
  boost::asio::steady_timer timer_;
};

}  // namespace nestcup::drivers
