#include "tools/listen/listen.hpp"

#include <boost/asio/io_context.hpp>
#include <boost/asio/signal_set.hpp>
#include <boost/asio/steady_timer.hpp>
#include <chrono>
#include <csignal>

#include "drivers/line/port_access.hpp"
#include "drivers/probe_port.hpp"
#include "tools/listen/machine_clock.hpp"

namespace nestcup {
namespace {

std::optional<Error> in_the_way(const std::string& device) {
  const drivers::PortAccessReport report = drivers::look_at_port(device);
  switch (report.access) {
    case drivers::PortAccess::free:
      return std::nullopt;
    case drivers::PortAccess::taken:
      return Error{Fault::try_later, report.advice};
    case drivers::PortAccess::not_permitted:
      return Error{Fault::not_permitted, report.advice};
    case drivers::PortAccess::missing:
      return Error{Fault::no_input, report.advice + "; `nestcup ports` lists what is there"};
  }
  return std::nullopt;
}

/// The loop of one listening: the port, the questions to it, and its end.
class Session {
 public:
  explicit Session(const ListenTask& task)
      : task_(task), asking_(context_), end_(context_), signals_(context_, SIGINT, SIGTERM) {}

  Result<void> run() {
    // The line itself would wait for a device that is not there.
    if (const auto error = in_the_way(task_.port.device)) return *error;
    auto made = drivers::ProbePort::make(context_, clock_, task_.port, task_.probes, handlers());
    if (!made) return made.error();
    port_ = std::move(made).value();
    port_->start();
    ask_on();
    end_.expires_after(std::chrono::duration_cast<std::chrono::nanoseconds>(
        std::chrono::duration<double>(task_.for_s)));
    const auto stop = [this](const boost::system::error_code& cancelled, auto...) {
      if (!cancelled) context_.stop();
    };
    end_.async_wait(stop);
    signals_.async_wait(stop);
    context_.run();
    const drivers::LineChange last = port_->health().line;
    port_->stop();
    if (last.state != drivers::LineState::waiting) return {};
    return Error{Fault::unavailable, last.reason};
  }

 private:
  drivers::PortHandlers handlers() {
    drivers::PortHandlers handlers;
    handlers.on_reading = [](std::size_t, TimeUs, double, double) {};
    handlers.on_change = [this](const drivers::PortChange& change) {
      const bool opened = change.line.state == drivers::LineState::open;
      if (opened && !std::exchange(asked_, true) && !task_.ask.empty())
        (void)port_->send(task_.ask);
      task_.on_news(change.line.reason);
    };
    handlers.on_remark = [this](const std::string&, std::string_view text) {
      task_.on_news(std::string(text));
    };
    handlers.on_press = [this](TimeUs) { task_.on_news("the switch was pressed"); };
    handlers.on_traffic = task_.on_traffic;
    return handlers;
  }

  void ask_on() {
    port_->ask();
    asking_.expires_after(std::chrono::duration_cast<std::chrono::nanoseconds>(
        std::chrono::duration<double>(task_.interval_s)));
    asking_.async_wait([this](const boost::system::error_code& cancelled) {
      if (!cancelled) ask_on();
    });
  }

  const ListenTask& task_;
  MachineClock clock_;
  boost::asio::io_context context_;
  boost::asio::steady_timer asking_;
  boost::asio::steady_timer end_;
  boost::asio::signal_set signals_;
  std::unique_ptr<drivers::ProbePort> port_;
  bool asked_ = false;
};

}  // namespace

Result<void> listen(const ListenTask& task) {
  return Session(task).run();
}

}  // namespace nestcup
