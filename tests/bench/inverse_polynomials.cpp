#include "tests/bench/inverse_polynomials.hpp"

#include <array>

namespace nestcup::bench {

namespace {

constexpr std::array<double, 9> e_1{0.0,
                                    0.016977288,
                                    -4.351497e-07,
                                    -1.5859697e-10,
                                    -9.2502871e-14,
                                    -2.6084314e-17,
                                    -4.1360199e-21,
                                    -3.403403e-25,
                                    -1.156489e-29};
constexpr std::array<double, 10> e_2{
    0.0,           0.017057035,    -2.3301759e-07, 6.5435585e-12, -7.3562749e-17, -1.7896001e-21,
    8.4036165e-26, -1.3735879e-30, 1.0629823e-35,  -3.2447087e-41};
constexpr std::array<double, 9> j_1{0.0,
                                    1.9528268e-02,
                                    -1.2286185e-06,
                                    -1.0752178e-09,
                                    -5.9086933e-13,
                                    -1.7256713e-16,
                                    -2.8131513e-20,
                                    -2.3963370e-24,
                                    -8.3823321e-29};
constexpr std::array<double, 8> j_2{0.0,           0.01978425,   -2.001204e-07, 1.036969e-11,
                                    -2.549687e-16, 3.585153e-21, -5.344285e-26, 5.09989e-31};
constexpr std::array<double, 6> j_3{-3.11358187e+03, 3.00543684e-01,  -9.94773230e-06,
                                    1.70276630e-10,  -1.43033468e-15, 4.73886084e-21};
constexpr std::array<double, 9> k_1{0.0,           0.025173462,    -1.1662878e-06, -1.0833638e-09,
                                    -8.977354e-13, -3.7342377e-16, -8.6632643e-20, -1.0450598e-23,
                                    -5.1920577e-28};
constexpr std::array<double, 10> k_2{0.0,          0.02508355,    7.860106e-08, -2.503131e-10,
                                     8.31527e-14,  -1.228034e-17, 9.804036e-22, -4.41303e-26,
                                     1.057734e-30, -1.052755e-35};
constexpr std::array<double, 7> k_3{-131.8058,     0.04830222,   -1.646031e-06, 5.464731e-11,
                                    -9.650715e-16, 8.802193e-21, -3.11081e-26};
constexpr std::array<double, 10> n_1{0.0,       38.436847, 1.1010485,  5.2229312,  7.2060525,
                                     5.8488586, 2.7754916, 0.77075166, 0.11582665, 0.0073138868};
constexpr std::array<double, 8> n_2{0.0,          38.6896,      -1.08267,   0.0470205,
                                    -2.12169e-06, -0.000117272, 5.3928e-06, -7.98156e-08};
constexpr std::array<double, 6> n_3{1.972485e+01, 3.300943e+01,  -3.915159e-01,
                                    9.855391e-03, -1.274371e-04, 7.767022e-07};
constexpr std::array<double, 8> t_1{0.0,           0.025949192,   -2.1316967e-07, 7.9018692e-10,
                                    4.2527777e-13, 1.3304473e-16, 2.0241446e-20,  1.2668171e-24};
constexpr std::array<double, 7> t_2{0.0,           0.025928,     -7.602961e-07, 4.637791e-11,
                                    -2.165394e-15, 6.048144e-20, -7.293422e-25};

constexpr std::array<InversePolynomial, 13> all{{
    {ThermocoupleType::E, -8825.0, 0.0, 1.0, 0.03, e_1},
    {ThermocoupleType::E, 0.0, 76373.0, 1.0, 0.02, e_2},
    {ThermocoupleType::J, -8095.0, 0.0, 1.0, 0.05, j_1},
    {ThermocoupleType::J, 0.0, 42919.0, 1.0, 0.04, j_2},
    {ThermocoupleType::J, 42919.0, 69553.0, 1.0, 0.04, j_3},
    {ThermocoupleType::K, -5891.0, 0.0, 1.0, 0.04, k_1},
    {ThermocoupleType::K, 0.0, 20644.0, 1.0, 0.05, k_2},
    {ThermocoupleType::K, 20644.0, 54886.0, 1.0, 0.06, k_3},
    {ThermocoupleType::N, -3.99, 0.0, 1e-3, 0.03, n_1},
    {ThermocoupleType::N, 0.0, 20.613, 1e-3, 0.03, n_2},
    {ThermocoupleType::N, 20.613, 47.513, 1e-3, 0.04, n_3},
    {ThermocoupleType::T, -5603.0, 0.0, 1.0, 0.04, t_1},
    {ThermocoupleType::T, 0.0, 20872.0, 1.0, 0.03, t_2},
}};

}  // namespace

std::span<const InversePolynomial> inverse_polynomials() {
  return all;
}

double inverse_degC(const InversePolynomial& polynomial, double emf_uV) {
  const double emf = emf_uV * polynomial.per_uV;
  double degC = 0.0;
  for (std::size_t i = polynomial.coefficients.size(); i-- > 0;) {
    degC = degC * emf + polynomial.coefficients[i];
  }
  return degC;
}

}  // namespace nestcup::bench
