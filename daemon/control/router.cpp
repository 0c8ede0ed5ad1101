#include "daemon/control/router.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cctype>
#include <exception>
#include <utility>

#include "core/base/nearest.hpp"

namespace nestcup::daemon {
namespace {

// Deep enough for any command; keeps what walks the value recursively off the end of the stack.
constexpr int max_json_depth = 32;

bool is_placeholder(std::string_view segment) {
  return segment.size() > 2 && segment.front() == '{' && segment.back() == '}';
}

std::vector<std::string> split_pattern(const std::string& pattern) {
  std::vector<std::string> segments;
  for (std::size_t begin = 1; begin < pattern.size();) {
    const std::size_t end = std::min(pattern.find('/', begin), pattern.size());
    segments.push_back(pattern.substr(begin, end - begin));
    begin = end + 1;
  }
  return segments;
}

bool fits(const std::vector<std::string>& pattern, const std::vector<std::string>& path) {
  return std::equal(pattern.begin(), pattern.end(), path.begin(), path.end(),
                    [](const std::string& expected, const std::string& given) {
                      return is_placeholder(expected) || expected == given;
                    });
}

/// The pattern as a path, with what was given standing for its placeholders.
std::string fill_in(const std::vector<std::string>& pattern, const std::vector<std::string>& path) {
  std::string filled;
  for (std::size_t i = 0; i < pattern.size(); ++i) {
    filled += "/" + (is_placeholder(pattern[i]) && i < path.size() ? path[i] : pattern[i]);
  }
  return filled;
}

bool is_json_type(std::string_view content_type) {
  std::string type(content_type.substr(0, content_type.find(';')));
  type.erase(type.find_last_not_of(" \t") + 1);
  std::transform(type.begin(), type.end(), type.begin(),
                 [](unsigned char c) { return static_cast<char>(std::tolower(c)); });
  return type == "application/json";
}

/// The body as an object, or the answer that says why it is none.
std::optional<Response> read_body(const RawRequest& raw, nlohmann::json& body) {
  if (raw.body.empty()) return std::nullopt;
  if (raw.method == "GET" || raw.method == "HEAD") {
    return error_response(400, Fault::usage, fmt::format("{} takes no body", raw.method));
  }
  if (!is_json_type(raw.content_type)) {
    return error_response(415, Fault::usage, "the body must be application/json");
  }
  // The parser takes a zero byte for the end of the text and would not look at what follows.
  if (raw.body.find('\0') != std::string::npos) {
    return error_response(400, Fault::usage, "not JSON: a zero byte in it");
  }
  bool too_deep = false;
  const auto watch_depth = [&](int depth, nlohmann::json::parse_event_t, nlohmann::json&) {
    too_deep = too_deep || depth > max_json_depth;
    return !too_deep;
  };
  try {
    body = nlohmann::json::parse(raw.body, watch_depth);
  } catch (const nlohmann::json::parse_error& error) {
    return error_response(400, Fault::usage, fmt::format("not JSON, at byte {}", error.byte));
  } catch (const nlohmann::json::exception&) {
    return error_response(400, Fault::usage, "a number in the body is too large");
  }
  if (too_deep) return error_response(400, Fault::usage, "the JSON is nested too deeply");
  if (!body.is_object()) {
    return error_response(400, Fault::usage, "the body must be one JSON object");
  }
  return std::nullopt;
}

}  // namespace

Handler answer_at_once(std::function<Response(const Request&)> function) {
  return [function = std::move(function)](const Request& request, const Reply& reply) {
    reply(function(request));
  };
}

Router::Router(std::function<void(std::string_view)> report) : report_(std::move(report)) {}

void Router::add(Route route) {
  auto segments = split_pattern(route.pattern);
  rows_.push_back({std::move(route), std::move(segments)});
}

void Router::add_stream(std::string path, StreamHandler handler) {
  add({"GET", path, answer_at_once([](const Request&) {
         return error_response(426, Fault::usage, "this path is a WebSocket (RFC 6455)");
       })});
  streams_[std::move(path)] = std::move(handler);
}

std::vector<std::pair<std::string, std::string>> Router::routes() const {
  std::vector<std::pair<std::string, std::string>> list;
  for (const Row& row : rows_) list.emplace_back(row.route.method, row.route.pattern);
  return list;
}

std::variant<const StreamHandler*, Response> Router::stream_at(std::string_view text) const {
  const auto target = parse_target(text);
  if (!target) return error_response(400, target.error().kind, target.error().text);
  const auto found = streams_.find(target->path);
  if (found != streams_.end()) return &found->second;
  return error_response(404, Fault::no_input,
                        fmt::format("there is no stream at {}", target->path));
}

void Router::serve(RawRequest raw, const Reply& reply) const {
  auto target = parse_target(raw.target);
  if (!target) return reply(error_response(400, target.error().kind, target.error().text));

  const std::string wanted = raw.method == "HEAD" ? "GET" : raw.method;
  std::string allowed;
  const Row* found = nullptr;
  for (const Row& row : rows_) {
    if (!fits(row.segments, target->segments)) continue;
    if (row.route.method == wanted) {
      found = &row;
      break;
    }
    allowed += (allowed.empty() ? "" : ", ") + row.route.method;
    if (row.route.method == "GET") allowed += ", HEAD";
  }
  if (found == nullptr && allowed.empty()) return reply(unknown_path(*target));
  if (found == nullptr) {
    Response response = error_response(
        405, Fault::usage, fmt::format("{} takes {}, not {}", target->path, allowed, raw.method));
    response.allow = allowed;
    return reply(response);
  }

  Request request;
  if (auto refusal = read_body(raw, request.body)) return reply(*refusal);
  for (std::size_t i = 0; i < found->segments.size(); ++i) {
    const std::string& name = found->segments[i];
    if (is_placeholder(name))
      request.captured[name.substr(1, name.size() - 2)] = target->segments[i];
  }
  request.method = std::move(raw.method);
  request.path = std::move(target->path);
  request.query = std::move(target->query);
  request.if_none_match = std::move(raw.if_none_match);
  request.peer = std::move(raw.peer);
  request.caller = std::move(raw.caller);
  call(*found, request, reply);
}

void Router::call(const Row& row, const Request& request, const Reply& reply) const {
  try {
    row.route.handler(request, reply);
  } catch (const std::exception& error) {
    if (report_) {
      report_(fmt::format("{} {} failed: {}", row.route.method, row.route.pattern, error.what()));
    }
    reply(error_response(500, Fault::io, "the daemon failed on this request; its log says more"));
  }
}

Response Router::unknown_path(const Target& target) const {
  std::vector<std::string> known;
  for (const Row& row : rows_) known.push_back(fill_in(row.segments, target.segments));
  std::string text = fmt::format("there is no {}", target.path);
  if (const auto meant = nearest(target.path, known)) {
    text += fmt::format("; did you mean {}?", *meant);
  }
  return error_response(404, Fault::no_input, text);
}

}  // namespace nestcup::daemon
