// SPDX-License-Identifier: Apache-2.0
#pragma once

namespace leanside {

/// One function object from several lambdas, to visit a std::variant with a lambda for each alternative.
template <class... F>
struct Overloaded : F... {
  using F::operator()...;
};
template <class... F>
Overloaded(F...) -> Overloaded<F...>;

}  // namespace leanside
