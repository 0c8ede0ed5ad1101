#include "tools/sync/carry_here.hpp"

#include <fmt/format.h>

#include "core/notebook/carrier.hpp"
#include "tools/progress.hpp"
#include "tools/store_change.hpp"

namespace nestcup {
namespace {

/// The settings behind the name of a notebook: the bench file's, which alone says who logs in; else
/// what notebook_name made the name of.
NotebookSettings settings_named(const std::string& name, const SyncPlace& place) {
  if (place.bench) {
    for (const NotebookSettings& one : place.bench->notebooks) {
      if (notebook_name(one) == name) return one;
    }
  }
  const std::size_t end = name.find(' ');
  return {name.substr(0, end), end == std::string::npos ? "" : name.substr(end + 1)};
}

/// The notebooks in use, from the bench file or else as the store knows them.
Result<std::vector<std::string>> notebooks_of(const SyncPlace& place, Store& store) {
  if (place.bench) {
    const std::vector<std::string> names = notebook_names(place);
    if (auto used = Outbox(store).use_notebooks(names, note_now("", "").wall_us); !used) {
      return used.error();
    }
    return names;
  }
  const auto counts = OutboxView(store).counts();
  if (!counts) return counts.error();
  std::vector<std::string> names;
  for (const NotebookCount& count : *counts) {
    if (count.in_use) names.push_back(count.notebook);
  }
  return names;
}

Result<void> carry_to(const std::string& name, const SyncPlace& place, Store& store,
                      cli::Streams& streams) {
  const auto again = Outbox(store).try_again(name);
  if (!again) return again.error();
  const auto head = Chain(store).head();
  if (!head) return head.error();
  const auto notebook = open_notebook(settings_named(name, place), book_mark(head->book));
  if (!notebook) return notebook.error();
  Progress progress(streams);
  StoreNotes notes(store);
  CarryOptions options;
  options.now_us = [] { return note_now("", "").wall_us; };
  options.tell = [&](const OwedRevision&, int owed) { progress.say(owed_words(name, owed)); };
  const auto count = carry(store, **notebook, notes, options);
  if (!count) return count.error();
  for (const std::string& remark : count->remarks) streams.err << "note: " << remark << '\n';
  if (count->failure.empty()) return {};
  return Error{Fault::try_later, fmt::format("{}: {}", name, count->failure)};
}

}  // namespace

std::string owed_words(const std::string& notebook, int owed) {
  return fmt::format("{}: {} still owed", notebook, owed);
}

std::vector<std::string> notebook_names(const SyncPlace& place) {
  std::vector<std::string> names;
  if (!place.bench) return names;
  for (const NotebookSettings& one : place.bench->notebooks) names.push_back(notebook_name(one));
  return names;
}

Result<void> carry_here(const SyncPlace& place, cli::Streams& streams) {
  return change_store(place.store, [&](Store& store) -> Result<void> {
    const auto names = notebooks_of(place, store);
    if (!names) return names.error();
    Result<void> outcome;
    for (const std::string& name : *names) {
      auto carried = carry_to(name, place, store, streams);
      if (!carried && outcome) outcome = carried;
    }
    return outcome;
  });
}

}  // namespace nestcup
