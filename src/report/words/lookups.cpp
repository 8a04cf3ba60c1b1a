// SPDX-License-Identifier: Apache-2.0
/// Words of the catalogue for what is told apart elsewhere by word_of().
#include "report/words/words.hpp"

namespace leanside::report {

using P = Phrase;

std::string severity_word(Told site, Severity severity) {
  switch (severity) {
    case Severity::flammable:
      return site.tell(P::severity_flammable);
    case Severity::pressure:
      return site.tell(P::severity_pressure);
    case Severity::rich:
      return site.tell(P::severity_rich);
    case Severity::near_source:
      return site.tell(P::severity_near_source);
    case Severity::toxic:
      return site.tell(P::severity_toxic);
    case Severity::margin:
      return site.tell(P::severity_margin);
    case Severity::oxygen:
      return site.tell(P::severity_oxygen);
    case Severity::note:
      break;
  }
  return site.tell(P::severity_note);
}

std::string kind_word(Told site, SpaceKind kind) {
  switch (kind) {
    case SpaceKind::room:
      break;
    case SpaceKind::cabinet:
      return site.tell(P::kind_cabinet);
    case SpaceKind::vessel:
      return site.tell(P::kind_vessel);
    case SpaceKind::junction:
      return site.tell(P::kind_junction);
  }
  return site.tell(P::kind_room);
}

std::string state_word(Told site, MixtureState state) {
  switch (state) {
    case MixtureState::clear:
      break;
    case MixtureState::note:
      return site.tell(P::state_note);
    case MixtureState::margin:
      return site.tell(P::state_margin);
    case MixtureState::flammable:
      return site.tell(P::state_flammable);
    case MixtureState::rich:
      return site.tell(P::state_rich);
    case MixtureState::inerted:
      return site.tell(P::state_inerted);
  }
  return site.tell(P::state_clear);
}

std::string opening_word(Told site, OpeningForm form) {
  switch (form) {
    case OpeningForm::doorway:
      break;
    case OpeningForm::louvre:
      return site.tell(P::louvre);
    case OpeningForm::window:
      return site.tell(P::window);
    case OpeningForm::undercut:
      return site.tell(P::undercut);
  }
  return site.tell(P::doorway);
}

}  // namespace leanside::report
