#include "sim/event_reader.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <map>

#include "sim/fault_kinds.hpp"

namespace nestcup::sim {

namespace {

constexpr Bounds any_temperature{-50.0, 200.0};
constexpr Bounds not_negative{0.0, 1e9};
constexpr Bounds any_heat{-1e6, 1e6};
constexpr Bounds duration{0.0, 1e6};

/// The index of the probe named under "probe".
std::size_t read_probe(TableReader& reader, const std::vector<ProbeSettings>& probes) {
  const std::string name = reader.text("probe");
  for (std::size_t i = 0; i < probes.size(); ++i) {
    if (probes[i].name == name) return i;
  }
  reader.complain("probe", fmt::format("no [[probe]] is named \"{}\"", name));
  return 0;
}

void read_solid(TableReader& reader, Mix& mix) {
  if (!reader.has("solid")) {
    if (reader.has("solid_s"))
      reader.complain("solid_s", "needs \"solid\": sheet, rod, grain or skinned");
    return;
  }
  const std::map<std::string, Solid> solids{{"sheet", Solid::sheet},
                                            {"rod", Solid::rod},
                                            {"grain", Solid::grain},
                                            {"skinned", Solid::skinned}};
  mix.solid_s = reader.number("solid_s", {0.1, 3600.0});
  const auto solid = solids.find(reader.text("solid", ""));
  if (solid == solids.end()) {
    reader.complain("solid", "expected \"sheet\", \"rod\", \"grain\" or \"skinned\"");
  } else {
    mix.solid = solid->second;
  }
}

Mix read_mix(TableReader& reader) {
  Mix mix;
  mix.trial = reader.text("trial", "");
  mix.pour_s = reader.lag("pour_s", mix.pour_s);
  mix.added_J_per_K = reader.number("added_J_per_K", not_negative, 0.0);
  const std::map<std::string, Source> sources{
      {"added", Source::added}, {"room", Source::room}, {"cup", Source::cup}};
  const std::string from = reader.text("from", "room");
  const auto source = sources.find(from);
  if (source == sources.end()) {
    reader.complain("from", "expected \"added\", \"room\" or \"cup\"");
  } else {
    mix.from = source->second;
  }
  if (reader.has("temperature_degC")) {
    mix.from = Source::given;
    mix.temperature_degC = reader.number("temperature_degC", any_temperature);
    if (reader.has("from")) reader.complain("temperature_degC", "\"from\" gives one already");
  }
  mix.heat_J = reader.number("heat_J", any_heat, 0.0);
  mix.release_s = reader.lag("release_s", 0.0);
  read_solid(reader, mix);
  mix.second_heat_J = reader.number("second_heat_J", any_heat, 0.0);
  mix.second_release_s = reader.lag("second_release_s", 0.0);
  if (reader.has("leak_after_W_per_K")) {
    mix.leak_after_W_per_K = reader.number("leak_after_W_per_K", {0.0, 1e3});
  }
  return mix;
}

/// Reads what the event named `what` needs into `event`; false for a name that is none.
bool read_what(const std::string& what, TableReader& reader,
               const std::vector<ProbeSettings>& probes, Event& event) {
  if (what == "carry") {
    const std::size_t probe = read_probe(reader, probes);
    event.what = CarryProbe{probe, read_place(reader, "to")};
  } else if (what == "fresh cup") {
    event.what = FreshCup{read_cup(reader)};
  } else if (what == "fresh added") {
    event.what = FreshAdded{read_added(reader)};
  } else if (what == "mix") {
    event.what = read_mix(reader);
  } else if (what == "heat") {
    event.what = Heat{reader.text("trial", ""), reader.number("power_W", {0.0, 1e4}),
                      reader.number("for_s", duration)};
  } else if (what == "knock") {
    event.what = Knock{read_probe(reader, probes), reader.number("offset_K", any_temperature),
                       reader.number("for_s", duration)};
  } else if (what == "draught") {
    event.what = Draught{reader.number("leak_factor", {0.0, 100.0}, 1.0),
                         reader.number("air_offset_K", {-50.0, 50.0}, 0.0),
                         reader.number("for_s", duration)};
  } else if (what == "stir") {
    event.what = Stir{reader.number("power_W", {0.0, 100.0})};
  } else if (what == "break") {
    constexpr std::array<std::string_view, 2> ways{"open", "short"};
    const bool shorted = reader.choice("how", ways, 0) == 1;
    event.what = Wires{read_probe(reader, probes), shorted ? Condition::shorted : Condition::open};
  } else if (what == "mend") {
    event.what = Wires{read_probe(reader, probes), Condition::whole};
  } else {
    return false;
  }
  return true;
}

/// An event with the line of its table.
struct PlacedEvent {
  Event event;
  double at_s = 0.0;
  std::size_t line = 0;
};

/// While a pour goes on nothing else may happen to the cup's contents.
void check_pours(const std::vector<PlacedEvent>& events, Problems& problems) {
  double pouring_until_s = 0.0;
  for (const auto& [event, at_s, line] : events) {
    const auto* const mix = std::get_if<Mix>(&event.what);
    const bool fills = mix != nullptr || std::holds_alternative<FreshCup>(event.what) ||
                       std::holds_alternative<Heat>(event.what);
    if (fills && at_s < pouring_until_s) {
      problems.add(line, fmt::format("event.at_s: {} lies within the pour before it, until {} s",
                                     at_s, pouring_until_s));
    }
    if (mix != nullptr) pouring_until_s = at_s + mix->pour_s;
  }
}

template <class Timed>
void sort_by_time(std::vector<Timed>& all) {
  std::stable_sort(all.begin(), all.end(),
                   [](const Timed& a, const Timed& b) { return a.at_s < b.at_s; });
}

}  // namespace

CupSettings read_cup(TableReader& reader) {
  CupSettings cup;
  cup.heat_capacity_J_per_K = reader.number("heat_capacity_J_per_K", {1e-3, 1e6});
  cup.temperature_degC = reader.number("temperature_degC", any_temperature);
  cup.leak_W_per_K = reader.number("leak_W_per_K", {0.0, 1e3}, cup.leak_W_per_K);
  cup.stirring_W = reader.number("stirring_W", {0.0, 100.0}, cup.stirring_W);
  cup.open_cm2 = reader.number("open_cm2", {0.0, 1e4}, cup.open_cm2);
  return cup;
}

AddedSettings read_added(TableReader& reader) {
  AddedSettings added;
  added.temperature_degC = reader.number("temperature_degC", any_temperature);
  added.leak_per_s = reader.number("leak_per_s", {0.0, 1.0}, added.leak_per_s);
  return added;
}

Place read_place(TableReader& reader, const std::string& key) {
  const std::map<std::string, Place> places{
      {"cup", Place::cup}, {"added", Place::added}, {"air", Place::air}};
  const auto place = places.find(reader.text(key));
  if (place != places.end()) return place->second;
  if (reader.has(key)) reader.complain(key, "expected \"cup\", \"added\" or \"air\"");
  return Place::air;
}

std::vector<Event> read_events(const std::vector<const toml::table*>& tables,
                               const std::vector<ProbeSettings>& probes, Problems& problems) {
  std::vector<PlacedEvent> placed;
  for (const toml::table* table : tables) {
    TableReader reader(*table, fmt::format("event {}", placed.size() + 1), problems);
    Event event{reader.number("at_s", duration), Stir{}};
    if (!read_what(reader.text("what"), reader, probes, event) && reader.has("what")) {
      reader.complain("what",
                      "expected \"carry\", \"fresh cup\", \"fresh added\", \"mix\", \"heat\", "
                      "\"knock\", \"draught\", \"stir\", \"break\" or \"mend\"");
    }
    reader.finish();
    placed.push_back({event, event.at_s, table->source().begin.line});
  }
  sort_by_time(placed);
  check_pours(placed, problems);
  std::vector<Event> events;
  for (const PlacedEvent& one : placed) events.push_back(one.event);
  return events;
}

std::vector<LineFault> read_faults(const std::vector<const toml::table*>& tables, Protocol protocol,
                                   Problems& problems) {
  std::vector<LineFault> faults;
  for (const toml::table* table : tables) {
    TableReader reader(*table, fmt::format("fault {}", faults.size() + 1), problems);
    LineFault fault;
    fault.at_s = reader.number("at_s", duration);
    const std::string name = reader.text("kind");
    const auto kind = fault_kind_named(name);
    if (!kind && reader.has("kind")) {
      reader.complain("kind", "expected one of " + fault_names_for(protocol));
    } else if (kind && !fault_fits(*kind, protocol)) {
      reader.complain("kind", fmt::format("\"{}\" means nothing for {}; there are {}", name,
                                          protocol_name(protocol), fault_names_for(protocol)));
    }
    fault.kind = kind.value_or(fault.kind);
    fault.for_s = reader.number("for_s", duration, 0.0);
    fault.delay_s = reader.number("delay_s", duration, 0.0);
    fault.count = static_cast<int>(std::min<std::int64_t>(100000, reader.whole("count", 1, 1)));
    fault.code = static_cast<int>(reader.number("code", {1.0, 127.0}, fault.code));
    fault.baud_ratio = reader.number("baud_ratio", {0.01, 100.0}, fault.baud_ratio);
    fault.rate_Bd = reader.number("rate_Bd", {0.0, 1e8}, fault.rate_Bd);
    reader.finish();
    faults.push_back(fault);
  }
  sort_by_time(faults);
  return faults;
}

}  // namespace nestcup::sim
