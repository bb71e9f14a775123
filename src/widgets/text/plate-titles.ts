/** A plate's title, from its own definition. */
import type { AnyPlate } from '../frame/definition.ts';

const models = import.meta.glob<Record<string, unknown>>('../*/model.ts');

/** Throws where the plate has no model, or the model no definition with that id. */
export async function plateTitle(id: string): Promise<string> {
  const model = await models[`../${id}/model.ts`]?.();
  const definition = Object.values(model ?? {}).find((each): each is AnyPlate => (each as AnyPlate | undefined)?.id === id);
  if (!definition) throw new Error(`src/widgets/${id}/model.ts does not export the definition of the plate “${id}”.`);
  return definition.title;
}
