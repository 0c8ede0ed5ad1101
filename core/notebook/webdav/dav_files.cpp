#include "core/notebook/webdav/dav_files.hpp"

#include <fmt/format.h>

#include <random>

namespace nestcup {
namespace {

constexpr std::string_view aside_end = ".old";

std::string random_part() {
  static std::random_device device;
  return fmt::format("{:08x}", device());
}

/// "page.kept-1f3a9c00.md"
std::string kept_name(const std::string& name) {
  const std::size_t end = name.rfind('.');
  const bool has_end = end != std::string::npos && end > 0;
  return fmt::format("{}.kept-{}{}", name.substr(0, has_end ? end : name.size()), random_part(),
                     has_end ? name.substr(end) : "");
}

bool is_named(const std::vector<DavEntry>& entries, const std::string& name) {
  for (const DavEntry& entry : entries) {
    if (entry.name == name) return true;
  }
  return false;
}

}  // namespace

std::string dav_below(const std::string& folder, const std::string& name) {
  return folder.empty() ? name : folder + "/" + name;
}

DavFiles::DavFiles(DavServer& server, const std::string& mark)
    : server_(server), mark_(mark), arriving_(".arriving-" + mark) {}

std::string DavFiles::new_name() {
  return dav_below(arriving_, random_part());
}

std::string DavFiles::name_aside(const std::string& name) {
  // No dot in front: nginx leaves such names out of its listings, by which they are found again.
  return fmt::format("{}.{}-{}{}", name, mark_, random_part(), aside_end);
}

/// The name of what lies aside under this one; empty where it is not ours.
std::string DavFiles::name_in(const std::string& aside) const {
  const std::string lead = "." + mark_ + "-";
  const std::size_t end = aside.rfind(lead);
  if (!aside.ends_with(aside_end) || end == std::string::npos) return {};
  return aside.substr(0, end);
}

Result<void> DavFiles::begin() {
  const auto left = server_.list(arriving_);
  if (!left) return left.error();
  if (!*left) return server_.make_collection(arriving_);
  for (const DavEntry& entry : **left) {
    if (!name_in(entry.name).empty()) continue;  // an index on its way, which is looked at
    const auto kind = entry.is_collection ? DavKind::collection : DavKind::file;
    if (auto removed = server_.remove(dav_below(arriving_, entry.name), kind); !removed) {
      return removed;
    }
  }
  return {};
}

/// What became of a file's move to its name, whose answer may be that to its repetition: what lies
/// there tells.
/// @return done or taken; nothing of ours is left under way
/// @errors try_later: what was under way was taken away
Result<Moved> DavFiles::settle(const std::string& under_way, const std::string& path,
                               const std::string& bytes, Result<Moved> answer) {
  if (!answer || *answer == Moved::done) return answer;
  const auto there = server_.get(path);
  if (!there) return there.error();
  if (!*there && *answer == Moved::gone) {
    return Error{Fault::try_later, server_.url().shown(path) +
                                       ": what was under way there was taken away; another "
                                       "program of this bench may be at it"};
  }
  if (auto removed = server_.remove(under_way, DavKind::file); !removed) return removed.error();
  return *there == bytes ? Moved::done : Moved::taken;
}

Result<Moved> DavFiles::add(const std::string& path, const std::string& bytes) {
  const std::string under_way = new_name();
  if (auto put = server_.put(under_way, bytes); !put) return put.error();
  return settle(under_way, path, bytes, server_.move(under_way, path, DavKind::file));
}

Result<void> DavFiles::set(const std::string& path, const std::string& bytes) {
  const auto first = set_once(path, bytes);
  if (first || first.error().kind != Fault::not_permitted) return first;
  // A server (rclone) that gets the move a second time, since the answer to the first was lost, has
  // cleared the place before it finds that there is nothing more to be moved, and says 403.
  const auto there = server_.get(path);
  if (!there || (*there && **there != bytes)) return first;
  return *there ? Result<void>{} : set_once(path, bytes);
}

Result<void> DavFiles::set_once(const std::string& path, const std::string& bytes) {
  const std::string under_way = new_name();
  if (auto put = server_.put(under_way, bytes); !put) return put;
  const auto moved = settle(under_way, path, bytes, server_.move_over(under_way, path));
  if (!moved) return moved.error();
  if (*moved == Moved::done) return {};
  return Error{Fault::try_later,
               server_.url().shown(path) + ": somebody else writes there just now"};
}

Result<bool> DavFiles::replace(const std::string& path, const std::string& bytes,
                               const std::string& aside, const Known& known) {
  const std::string under_way = new_name();
  if (auto put = server_.put(under_way, bytes); !put) return put.error();
  const std::size_t end = path.rfind('/');
  const std::string name = end == std::string::npos ? path : path.substr(end + 1);
  const std::string home = end == std::string::npos ? "" : path.substr(0, end);
  const std::string old = dav_below(aside, name_aside(name));
  const auto away = server_.move(path, old, DavKind::file);
  if (!away) return away.error();
  const auto was = server_.get(old);
  if (!was) return was.error();
  const bool may = !*was || known(**was);
  if (!may) {
    const auto back = server_.move(old, path, DavKind::file);
    if (!back) return back.error();
    if (*back != Moved::done) {
      if (auto shown = show(old, home, name); !shown) return shown.error();
    }
    if (auto removed = server_.remove(under_way, DavKind::file); !removed) return removed.error();
    return false;
  }
  const auto moved = settle(under_way, path, bytes, server_.move(under_way, path, DavKind::file));
  if (!moved) return moved.error();
  if (auto removed = server_.remove(old, DavKind::file); !removed) return removed.error();
  return *moved == Moved::done;
}

Result<void> DavFiles::show(const std::string& from, const std::string& home,
                            const std::string& name) {
  const auto moved = server_.move(from, dav_below(home, kept_name(name)), DavKind::file);
  if (!moved) return moved.error();
  return {};
}

Result<void> DavFiles::put_back(const std::string& aside, const std::vector<DavEntry>& entries,
                                const std::string& home) {
  for (const DavEntry& entry : entries) {
    const std::string name = name_in(entry.name);
    if (name.empty() || (aside == home && is_named(entries, name))) continue;
    const auto moved =
        server_.move(dav_below(aside, entry.name), dav_below(home, name), DavKind::file);
    if (!moved) return moved.error();
  }
  return {};
}

Result<void> DavFiles::clear(const std::string& aside, const std::vector<DavEntry>& entries,
                             const std::string& home, const Known& known) {
  for (const DavEntry& entry : entries) {
    const std::string name = name_in(entry.name);
    if (name.empty()) continue;
    const std::string path = dav_below(aside, entry.name);
    const auto bytes = server_.get(path);
    if (!bytes) return bytes.error();
    if (!*bytes) continue;  // put back
    const auto done = known(**bytes) ? server_.remove(path, DavKind::file) : show(path, home, name);
    if (!done) return done;
  }
  return {};
}

}  // namespace nestcup
