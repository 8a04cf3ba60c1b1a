// SPDX-License-Identifier: Apache-2.0
/** What the catalogue says of an experiment. */
export interface ExperimentWords {
  title: string;
  help: string;
  fields: Record<string, string>;
  names: Record<string, string>;
}
