#include "core/notebook/webdav/dav_server.hpp"

#include <fmt/format.h>

#include "core/notebook/webdav/refusal.hpp"

namespace nestcup {
namespace {

// What is longer is compared by its length alone.
constexpr std::size_t longest_compared = 8UL << 20;
constexpr double login_pause_s = 900.0;
constexpr const char* wanted_properties =
    R"(<?xml version="1.0" encoding="utf-8"?><D:propfind xmlns:D="DAV:"><D:prop><D:resourcetype/>)"
    R"(<D:getcontentlength/></D:prop></D:propfind>)";

bool is_success(const HttpAnswer& answer) {
  return answer.status >= 200 && answer.status < 300;
}

bool is_missing(const HttpAnswer& answer) {
  return answer.status == 404 || answer.status == 410;
}

/// Names of collections end with "/", which some servers insist on.
std::string named(const std::string& path, DavKind kind) {
  return kind == DavKind::collection && !path.empty() ? path + "/" : path;
}

}  // namespace

DavServer::DavServer(DavUrl url, HttpClient client)
    : url_(std::move(url)), client_(std::move(client)) {}

double DavServer::wanted_pause_s() const {
  const HttpAnswer& last = client_.last();
  if (last.status == 401) return login_pause_s;
  return last.status >= 400 ? last.retry_after_s.value_or(0) : 0.0;
}

Result<std::optional<std::string>> DavServer::get(const std::string& path) {
  auto answer = client_.ask({"GET", url_.at(path), {"Cache-Control: no-cache"}});
  if (!answer) return answer.error();
  if (is_missing(*answer)) return std::optional<std::string>{};
  if (answer->status != 200) return dav_refusal("GET", url_.shown(path), *answer);
  return std::optional(std::move(answer->body));
}

Result<HttpAnswer> DavServer::find(const std::string& path, DavKind kind, int depth) {
  return client_.ask({"PROPFIND",
                      url_.at(named(path, kind)),
                      {fmt::format("Depth: {}", depth), "Content-Type: application/xml"},
                      wanted_properties});
}

Result<std::optional<std::vector<DavEntry>>> DavServer::list(const std::string& path) {
  const auto answer = find(path, DavKind::collection, 1);
  if (!answer) return answer.error();
  if (is_missing(*answer)) return std::optional<std::vector<DavEntry>>{};
  if (answer->status != 207) return dav_refusal("PROPFIND", url_.shown(path), *answer);
  auto entries = parse_listing(answer->body, url_.shown(path));
  if (!entries) return entries.error();
  return std::optional(std::move(*entries));
}

Result<bool> DavServer::has_collection(const std::string& path) {
  const auto answer = find(path, DavKind::collection, 0);
  if (!answer) return answer.error();
  if (is_missing(*answer) || answer->status == 409) return false;
  if (answer->status != 207) return dav_refusal("PROPFIND", url_.shown(path), *answer);
  if (auto listing = parse_listing(answer->body, url_.shown(path)); !listing) {
    return listing.error();
  }
  return true;
}

Result<int> DavServer::make_at(const std::string& url) {
  const auto answer = client_.ask({"MKCOL", url});
  if (!answer) return answer.error();
  return answer->status;
}

Result<void> DavServer::make_collection(const std::string& path) {
  const auto answer = client_.ask({"MKCOL", url_.at(named(path, DavKind::collection))});
  if (!answer) return answer.error();
  if (is_success(*answer)) return {};
  // 405 where one is there (RFC 4918, section 9.3.1), some servers say 403.
  const auto there = has_collection(path);
  if (there && *there) return {};
  return dav_refusal("MKCOL", url_.shown(path), *answer);
}

Result<void> DavServer::make_root() {
  std::vector<std::string> missing = {url_.at("")};
  while (true) {
    const auto status = make_at(missing.back());
    if (!status) return status.error();
    // 409: the one above is missing (RFC 4918, section 9.3.1); some servers say 404.
    if (*status != 409 && *status != 404) break;
    const auto above = collection_above(missing.back());
    if (!above) break;
    missing.push_back(*above);
  }
  missing.pop_back();
  for (; !missing.empty(); missing.pop_back()) {
    if (const auto status = make_at(missing.back()); !status) return status.error();
  }
  return make_collection("");  // says what is wrong, if anything is
}

Result<void> DavServer::put(const std::string& path, const std::string& bytes) {
  const auto answer = client_.ask({"PUT", url_.at(path), {}, bytes});
  if (!answer) return answer.error();
  if (!is_success(*answer)) return dav_refusal("PUT", url_.shown(path), *answer);
  return check_arrived(path, bytes);
}

Result<void> DavServer::check_arrived(const std::string& path, const std::string& bytes) {
  if (bytes.size() > longest_compared) {
    // Without "/" behind it: Apache answers 400 to that for a file, lighttpd 403.
    const auto answer = find(path, DavKind::file, 0);
    if (!answer) return answer.error();
    if (answer->status != 207) return dav_refusal("PROPFIND", url_.shown(path), *answer);
    // The file itself is the one that a listing leaves out, so it is asked for by its text.
    const std::string length = fmt::format("getcontentlength>{}<", bytes.size());
    if (answer->body.find(length) != std::string::npos) return {};
  } else {
    const auto there = get(path);
    if (!there) return there.error();
    if (*there == bytes) return {};
  }
  return Error{Fault::io, fmt::format("{}: what lies there is not what was sent ({} bytes), though "
                                      "the server said that it took it",
                                      url_.shown(path), bytes.size())};
}

Result<HttpAnswer> DavServer::ask_move(const std::string& from, const std::string& to, DavKind kind,
                                       char overwrite) {
  return client_.ask(
      {"MOVE",
       url_.at(named(from, kind)),
       {"Destination: " + url_.at(named(to, kind)), fmt::format("Overwrite: {}", overwrite)}});
}

Result<Moved> DavServer::move(const std::string& from, const std::string& to, DavKind kind) {
  const auto answer = ask_move(from, to, kind, 'F');
  if (!answer) return answer.error();
  if (is_success(*answer) && answer->status != 207) return Moved::done;
  if (answer->status == 412) return Moved::taken;
  if (is_missing(*answer)) return Moved::gone;
  return dav_refusal("MOVE", url_.shown(to), *answer);
}

Result<Moved> DavServer::move_over(const std::string& from, const std::string& to) {
  const auto answer = ask_move(from, to, DavKind::file, 'T');
  if (!answer) return answer.error();
  if (is_success(*answer) && answer->status != 207) return Moved::done;
  if (is_missing(*answer)) return Moved::gone;
  return dav_refusal("MOVE", url_.shown(to), *answer);
}

Result<void> DavServer::remove(const std::string& path, DavKind kind) {
  const auto answer = client_.ask({"DELETE", url_.at(named(path, kind))});
  if (!answer) return answer.error();
  if ((is_success(*answer) && answer->status != 207) || is_missing(*answer)) return {};
  return dav_refusal("DELETE", url_.shown(path), *answer);
}

}  // namespace nestcup
