// From a raw request to the handler that answers it: paths, methods, bodies. No transport here.
#pragma once

#include <functional>
#include <map>
#include <string>
#include <string_view>
#include <utility>
#include <variant>
#include <vector>

#include "daemon/control/message.hpp"
#include "daemon/control/stream.hpp"
#include "daemon/control/target.hpp"

namespace nestcup::daemon {

/// Answers a request through `reply`, at once or later (see Reply).
using Handler = std::function<void(const Request&, const Reply& reply)>;

/// One row of the table: "GET", "/v1/runs/{id}", what to do. GET rows answer HEAD as well.
struct Route {
  std::string method;
  std::string pattern;
  Handler handler;
};

/// A handler that answers at once, from a function that returns the answer.
[[nodiscard]] Handler answer_at_once(std::function<Response(const Request&)> function);

/// A table of routes. Where several patterns fit a path, the first row wins.
/// All calls from one thread.
class Router {
 public:
  /// @param report  is told what a handler threw; callers of the API only hear that it failed
  explicit Router(std::function<void(std::string_view)> report = {});

  void add(Route route);
  /// A path on which a WebSocket is offered.
  void add_stream(std::string path, StreamHandler handler);

  /// Method and pattern of every row, in order.
  [[nodiscard]] std::vector<std::pair<std::string, std::string>> routes() const;

  /// What takes over a request for a WebSocket, or why nothing does: 404; 400 for a bad target.
  [[nodiscard]] std::variant<const StreamHandler*, Response> stream_at(
      std::string_view target) const;

  /// Checks the request and passes it to its handler, or answers it with the error: 400, 404 with
  /// the nearest path known, 405 with the methods allowed, 415. Never throws what a handler threw.
  void serve(RawRequest raw, const Reply& reply) const;

 private:
  struct Row {
    Route route;
    std::vector<std::string> segments;
  };

  void call(const Row& row, const Request& request, const Reply& reply) const;
  [[nodiscard]] Response unknown_path(const Target& target) const;

  std::vector<Row> rows_;
  std::map<std::string, StreamHandler> streams_;  ///< by path
  std::function<void(std::string_view)> report_;
};

}  // namespace nestcup::daemon
