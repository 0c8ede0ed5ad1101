// What records say of a transducer.
#include "core/sheet/transducer_text.hpp"

#include "tests/catch.hpp"

using namespace nestcup;

TEST_CASE("a transducer's words hold every figure of its settings") {
  ProbeSettings probe;
  CHECK(transducer_text(probe) == "temperature in degC");
  probe.channel.unit = RawUnit::count;
  probe.transducer = ThermistorSettings{SteinhartHart{1.1e-3, 2.3e-4, 8.7e-8},
                                        Divider{9970.0, false, 1023.0}, SelfHeating{7, 3.3, 0}};
  CHECK(transducer_text(probe) ==
        "thermistor, a 0.0011, b 0.00023, c 8.7e-08, above 9970 ohm, full scale 1023, 7 mW/K at "
        "3.3 V in count");
  probe.transducer = ThermistorSettings{BetaLaw{3950, 10'000, 25}};
  probe.channel.unit = RawUnit::ohm;
  CHECK(transducer_text(probe) == "thermistor, beta 3950 K, 10000 ohm at 25 degC in ohm");
  probe.transducer =
      ThermistorSettings{ThermistorPoints{{{{32'650, 0}, {10'000, 25}, {3601, 50}}}}};
  CHECK(transducer_text(probe) ==
        "thermistor, points 32650 ohm at 0 degC 10000 ohm at 25 degC 3601 ohm at 50 degC in ohm");
  probe.transducer = PlatinumSettings{1000, 2, 0.2};
  CHECK(transducer_text(probe) == "platinum, 1000 ohm at 0 degC, 2 wires of 0.2 ohm in ohm");
  probe.channel.unit = RawUnit::microvolt;
  probe.transducer = ThermocoupleSettings{ThermocoupleType::T, 22.5};
  CHECK(transducer_text(probe) == "thermocouple T, cold junction 22.5 degC in uV");
  probe.transducer = ThermocoupleSettings{ThermocoupleType::K, {}};
  probe.cold = ColdChannel{};
  CHECK(transducer_text(probe) == "thermocouple K, cold junction another channel in degC in uV");
}
