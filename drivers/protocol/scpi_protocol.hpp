// SCPI instruments (IEEE 488.2 and SCPI-99): asks for their readings by queries.
#pragma once

#include <cstddef>
#include <memory>
#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "core/base/result.hpp"
#include "core/sheet/port_settings.hpp"
#include "drivers/protocol/hold_off.hpp"
#include "drivers/protocol/protocol.hpp"
#include "drivers/protocol/text_lines.hpp"

namespace nestcup::drivers {

/// After an opening: the port's setup lines, then "*IDN?", whose answer is told as a remark. Then,
/// each round, the channels' queries; channels with the same query share one exchange and pick
/// their column of its comma-separated answer. Numbers are decimal (NRf of IEEE 488.2, 7.7.2).
/// 9.91E37 is no reading, +-9.9E37 overload (SCPI-99 Volume 1, 7.2.1.4 and 7.2.1.5). After an
/// answer that is no number, or none, "SYSTem:ERRor?" is asked until it says 0 (SCPI-99, 21.8), and
/// what it says is told; before that the device is left alone for the time of an answer, for such
/// an answer may have been another's, with the right one still to come. An answer with a column
/// that is no number ("0,\"No error\"") is none at all. A query that three times in a row had no
/// answer is put only once in 30 s. Nothing counts as an answer that began before its question.
class ScpiProtocol final : public Protocol {
 public:
  /// @errors bad_configuration: a channel without a query, or with one that is no query; a column
  ///         below 1
  [[nodiscard]] static Result<std::unique_ptr<Protocol>> make(
      const PortSettings& port, const std::vector<ChannelSettings>& channels);

  void feed(std::span<const char> bytes, TimeUs stamp_us, ProtocolSink& sink) override;
  void reset(ProtocolSink& sink) override;
  [[nodiscard]] bool is_polled() const override { return true; }
  [[nodiscard]] ExchangeManners manners() const override { return {0.0, 0.0, true}; }
  [[nodiscard]] std::string next_request(TimeUs now_us) override;
  [[nodiscard]] bool is_answered() const override { return asked_ == Asked::nothing; }
  void give_up(TimeUs now_us, ProtocolSink& sink) override;

 private:
  enum class Asked { nothing, identity, error, reading };
  struct Wanted {
    std::size_t channel = 0;
    std::size_t column = 0;  // 0-based
  };
  struct Query {
    std::string text;
    std::vector<Wanted> wanted{};
    int unanswered = 0;        ///< in a row
    TimeUs not_before_us = 0;  ///< a query that is never answered must not cost the others' time
  };

  ScpiProtocol(const PortSettings& port, const std::vector<ChannelSettings>& channels);
  [[nodiscard]] std::string ask(Asked what, std::string_view text);
  [[nodiscard]] bool find_next_query(TimeUs now_us);
  LineKind take_line(const TextLine& line, TimeUs stamp_us, ProtocolSink& sink);
  LineKind take_reading(std::string_view answer, TimeUs stamp_us, ProtocolSink& sink);
  LineKind take_error(std::string_view answer, ProtocolSink& sink);

  std::vector<std::string> setup_;
  std::vector<Query> queries_;
  HoldOff hold_off_;
  TextLines lines_;
  Asked asked_ = Asked::nothing;
  std::size_t next_setup_ = 0;
  bool identity_asked_ = false;
  bool error_wanted_ = false;
  int errors_in_a_row_ = 0;
  std::string last_remark_;  // an error that comes again and again is told once
  std::size_t next_ = 0;     // query of the round under way
};

}  // namespace nestcup::drivers
