#include <fmt/format.h>

#include <cmath>

#include "core/base/uncertain_text.hpp"
#include "tools/cli/output.hpp"
#include "tools/pool/outputs.hpp"

namespace nestcup::pooled {
namespace {

constexpr std::string_view plus_minus = " \xC2\xB1 ";
constexpr const char* none = "-";
constexpr std::string_view degree =
    "\xC2\xB0"
    "C";

/// For eyes: units of degrees with their sign.
std::string with_degrees(std::string text) {
  constexpr std::string_view plain = "degC";
  for (auto at = text.find(plain); at != std::string::npos; at = text.find(plain, at)) {
    text.replace(at, plain.size(), degree);
  }
  return text;
}

std::string heading(const std::string& text, bool colour) {
  return cli::toned(text, cli::Tone::heading, colour) + "\n";
}

/// A value with as many digits as this uncertainty bears.
std::string rounded_by(double value, double u) {
  const std::string text = uncertain_text({value, u, {}}, "");
  return text.substr(0, text.find(plus_minus));
}

/// A standard deviation, to two digits.
std::string sd_text(double sd) {
  if (!(sd > 0.0)) return "0";
  const std::string text = uncertain_text({0.0, sd, {}}, "");
  return text.substr(text.find(plus_minus) + plus_minus.size());
}

std::string two_places(const std::optional<double>& value) {
  // Adding 0 turns a rounded -0.0 into 0.0.
  return value ? fmt::format("{:.2f}", std::round(*value * 100.0) / 100.0 + 0.0) : none;
}

/// What of a quantity the mean is known to: the least of all digits shown for it.
double u_of_mean(const ClassQuantity& quantity) {
  if (quantity.robust && quantity.robust->u_mean > 0.0) return quantity.robust->u_mean;
  return quantity.benches.front().stated.u;
}

std::vector<std::string> class_row(const ClassQuantity& quantity) {
  const double u = u_of_mean(quantity);
  std::string accepted = none;
  if (quantity.accepted) accepted = uncertain_text(quantity.accepted->value, "");
  return {quantity_label(quantity.name),
          quantity.name.unit,
          std::to_string(quantity.benches.size()),
          quantity.runs > 0 ? std::to_string(quantity.runs) : none,
          quantity.robust ? uncertain_text({quantity.robust->mean, u, {}}, "") : none,
          quantity.robust ? sd_text(quantity.robust->sd) : none,
          accepted,
          quantity.accepted ? two_places(quantity.accepted->E_n) : none};
}

std::string class_table(const ClassResult& result, bool colour) {
  const auto right = cli::Align::right;
  cli::Table table({{"quantity"},
                    {"unit"},
                    {"benches", right},
                    {"runs", right},
                    {"robust mean", right},
                    {"robust sd", right},
                    {"accepted", right},
                    {"E_n", right}});
  for (const ClassQuantity& quantity : result.quantities) table.add_row(class_row(quantity));
  return table.text(colour);
}

std::vector<std::string> spread_row(const ClassQuantity& quantity) {
  const double u = u_of_mean(quantity);
  const auto spread = [&](double BetweenWithin::*sd) {
    const auto& found = quantity.spread_in_line;
    return found ? sd_text((*found).*sd) : std::string(none);
  };
  return {quantity_label(quantity.name),
          quantity.name.unit,
          rounded_by(quantity.mean, u),
          rounded_by(quantity.median, u),
          spread(&BetweenWithin::repeatability_sd),
          spread(&BetweenWithin::between_sd),
          spread(&BetweenWithin::reproducibility_sd)};
}

std::string spread_table(const ClassResult& result, bool colour) {
  const auto right = cli::Align::right;
  cli::Table table({{"quantity"},
                    {"unit"},
                    {"mean", right},
                    {"median", right},
                    {"s_r", right},
                    {"s_L", right},
                    {"s_R", right}});
  for (const ClassQuantity& quantity : result.quantities) table.add_row(spread_row(quantity));
  return table.text(colour);
}

std::string remark(const BenchValue& value) {
  std::string text;
  if (value.is_outlying()) {
    text = value.grubbs == Standing::outlier ? "outlying (Grubbs, 1 %)" : "outlying (z)";
  } else if (value.grubbs == Standing::straggler) {
    text = "straggling (Grubbs, 5 %)";
  }
  if (value.scatter != Standing::in_line) {
    text += text.empty() ? "" : "; ";
    text += value.scatter == Standing::outlier ? "runs apart (Cochran, 1 %)"
                                               : "runs apart (Cochran, 5 %)";
  }
  return text;
}

std::string runs_text(const BenchValue& value) {
  std::string text;
  for (const auto& [run, found] : value.runs) {
    text += (text.empty() ? "" : "  ") + rounded_by(found, value.stated.u);
  }
  return text.empty() ? none : text;
}

std::string bench_table(const ClassResult& result, const ClassQuantity& quantity,
                        const PoolContext& context, bool colour) {
  const auto right = cli::Align::right;
  std::vector<cli::Column> columns{
      {quantity.name.unit, right}, {"z", right}, {"E_n", right}, {"each run"}, {"remark"}};
  if (!context.nameless) columns.insert(columns.begin(), {"bench"});
  cli::Table table(columns);
  for (const BenchValue* const value : shown_values(quantity, context.nameless)) {
    std::vector<std::string> cells{uncertain_text(value->stated, ""), two_places(value->z),
                                   two_places(value->E_n), runs_text(*value), remark(*value)};
    if (!context.nameless) cells.insert(cells.begin(), result.benches[value->bench].name);
    table.add_row(std::move(cells));
  }
  return table.text(colour);
}

/// Words in lines of at most 98 columns, indented by four.
std::string wrapped(const std::string& text) {
  constexpr std::size_t most_columns = 98;
  std::string lines;
  std::string line = "   ";
  std::size_t at = 0;
  while (at < text.size()) {
    const std::size_t end = std::min(text.find(' ', at), text.size());
    const std::string word = text.substr(at, end - at);
    if (line.size() > 4 && line.size() + 1 + word.size() > most_columns) {
      lines += line + "\n";
      line = "   ";
    }
    line += " " + word;
    at = end + 1;
  }
  return lines + line + "\n";
}

std::string bench_reasons(const ClassResult& result, std::size_t place,
                          const PoolContext& context) {
  const BenchJudgement& judgement = result.judgements[place];
  if (judgement.reasons.empty()) return "";
  std::vector<std::string> off;
  for (const std::size_t which : judgement.outlying) {
    off.push_back(quantity_label(result.quantities[which].name));
  }
  std::string text =
      fmt::format("  {}: {}\n", context.nameless ? "a bench" : result.benches[place].name,
                  off.empty() ? "no value outlying" : "outlying in " + list_of(off));
  for (const Reason& reason : judgement.reasons) {
    text += wrapped(fmt::format("{} ({}): {}", reason.code, trust_name(reason.trust), reason.text));
  }
  return text;
}

std::string reasons_text(const ClassResult& result, const PoolContext& context, bool colour) {
  std::string text;
  for (std::size_t place = 0; place < result.benches.size(); ++place) {
    text += bench_reasons(result, place, context);
  }
  if (text.empty())
    text = "  Nothing: no value is outlying, and no cup leaks far more than others.\n";
  return heading("What stands out, and what it looks like", colour) + text;
}

std::string left_out_line(const LeftOutRun& run, const std::string& bench) {
  return fmt::format("  {}{}{}: {}{}{}\n", bench, bench.empty() ? "" : ", ",
                     run.trial.empty() ? run.label : fmt::format("{} ({})", run.label, run.trial),
                     run.why, run.reason.empty() ? "" : ": ", run.reason);
}

std::string left_out_text(const ClassResult& result, const PoolContext& context, bool colour) {
  std::string text;
  std::size_t count = 0;
  for (const ClassBench& bench : result.benches) {
    count += bench.left_out.size();
    for (const LeftOutRun& run : bench.left_out) {
      text += left_out_line(run, context.nameless ? "" : bench.name);
    }
  }
  return count == 0
             ? ""
             : "\n" +
                   heading(fmt::format("Left out: {} {}", count, count == 1 ? "run" : "runs"),
                           colour) +
                   text;
}

std::string sheet_text(const ClassResult& result, const PoolContext& context, int& number,
                       bool colour) {
  std::size_t runs = 0;
  for (const ClassBench& bench : result.benches) runs += bench.runs.size();
  std::string text =
      heading(fmt::format("{}: {} {}, {} recorded runs", result.title, result.benches.size(),
                          result.benches.size() == 1 ? "bench" : "benches", runs),
              colour);
  text += "\n" + heading(fmt::format("Table {}. The class as a whole", ++number), colour) +
          class_table(result, colour);
  text += "\n" +
          heading(fmt::format("Table {}. Means, and spread within and between benches", ++number),
                  colour) +
          spread_table(result, colour);
  for (const ClassQuantity& quantity : result.quantities) {
    const std::string about = quantity.name.kind == QuantityKind::trial
                                  ? fmt::format("{}: {}", quantity.name.trial, quantity.name.what)
                                  : quantity.name.what;
    text +=
        "\n" +
        heading(fmt::format("Table {}. {}{}", ++number, about,
                            quantity.name.equation.empty() ? "" : ", " + quantity.name.equation),
                colour) +
        bench_table(result, quantity, context, colour);
  }
  return text + "\n" + reasons_text(result, context, colour) +
         left_out_text(result, context, colour);
}

constexpr const char* legend =
    "\nBehind \xC2\xB1 stands a standard uncertainty (k = 1). Robust mean and sd: algorithm A of "
    "ISO "
    "13528.\nz: distance from that mean in robust sd. E_n: distance from the other benches (in "
    "table "
    "1, from what\nis accepted) over twice its u; above 1 it is more than chance. s_r: between "
    "runs "
    "of one bench, s_L:\nbetween benches, s_R: both, without outliers (ISO 5725-2). Strong, fair, "
    "weak: how far a reason is to\nbe trusted.\n";

}  // namespace

std::string pool_page(std::span<const ClassResult> results, const PoolContext& context,
                      bool colour) {
  std::string text;
  int number = 0;
  for (const ClassResult& result : results) {
    text += (text.empty() ? "" : "\n") + sheet_text(result, context, number, colour);
  }
  if (!context.nowhere.empty()) {
    text += "\n" + heading("Left out for want of a sheet", colour);
    for (const LeftOutRun& run : context.nowhere) text += left_out_line(run, "");
  }
  for (const std::string& note : context.notes) text += "\nnote: " + note + "\n";
  return with_degrees(text + legend);
}

}  // namespace nestcup::pooled
