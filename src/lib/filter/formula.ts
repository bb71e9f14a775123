import {
  addDependencies, create, divideDependencies, equalDependencies, largerDependencies, largerEqDependencies, multiplyDependencies,
  parseDependencies, powDependencies, smallerDependencies, smallerEqDependencies, subtractDependencies, unaryMinusDependencies,
  unaryPlusDependencies, unequalDependencies, type MathNode,
} from 'mathjs/number';
import { BadInput } from '../files/bad-input.ts';

/** The arithmetic of mathjs on plain numbers and nothing else of it: 40 kB, fetched only by who types a formula. */
const math = create({
  addDependencies, divideDependencies, equalDependencies, largerDependencies, largerEqDependencies, multiplyDependencies,
  parseDependencies, powDependencies, smallerDependencies, smallerEqDependencies, subtractDependencies, unaryMinusDependencies,
  unaryPlusDependencies, unequalDependencies,
}) as { parse: (expression: string) => MathNode };

const functions: Readonly<Record<string, (...numbers: number[]) => number>> = {
  abs: Math.abs, sqrt: Math.sqrt, exp: Math.exp, log: Math.log, log10: Math.log10, sin: Math.sin, cos: Math.cos, tan: Math.tan,
  asin: Math.asin, acos: Math.acos, atan: Math.atan, sinh: Math.sinh, cosh: Math.cosh, tanh: Math.tanh, floor: Math.floor,
  ceil: Math.ceil, round: Math.round, sign: Math.sign, min: Math.min, max: Math.max,
  sinc: (x) => (x === 0 ? 1 : Math.sin(Math.PI * x) / (Math.PI * x)),
};
const constants: Readonly<Record<string, number>> = { pi: Math.PI, e: Math.E };
const operators = new Set(['+', '-', '*', '/', '^', '<', '<=', '>', '>=', '==', '!=']);
const longest = 200;

/**
 * A formula in the named variables, read and compiled by mathjs; never handed to the JavaScript engine.
 * It may hold numbers, the variables, pi, e, + − * / ^, comparisons, a ? b : c, and the functions of the table above (angles in
 * radians; sinc x = sin(πx)/(πx)).   what: how a message calls the formula, 'The window' say.
 * Throws: BadInput for anything else. What it returns gives whatever number comes out, which may be NaN.
 */
export function readFormula(formula: string, variables: readonly string[], what: string): (...values: number[]) => number {
  if (formula.trim() === '') throw new BadInput(`${what} is empty; write a formula in ${variables.join(' and ')}, such as 1.`);
  if (formula.length > longest) throw new BadInput(`${what} has ${formula.length} characters; it may have ${longest}.`);
  let tree: MathNode;
  try {
    tree = math.parse(formula);
  } catch (error) {
    throw new BadInput(`${what} “${formula}” cannot be read: ${(error as Error).message.replace(/\.$/, '')}; write it like 0.5 + 0.5*cos(pi*f/fc).`);
  }
  tree.traverse((node, path) => {
    if (path !== 'fn') refuseStrangers(node, formula, variables, what); // a function's name is looked at with the function
  });
  const compiled = tree.compile();
  const scope = new Map<string, unknown>(Object.entries({ ...functions, ...constants }));
  return (...values) => {
    variables.forEach((name, i) => scope.set(name, values[i]));
    const result: unknown = compiled.evaluate(scope);
    return typeof result === 'number' || typeof result === 'boolean' ? Number(result) : NaN;
  };
}

/** Lets numbers, known names and known signs pass; throws BadInput for any other part of the formula. */
function refuseStrangers(node: MathNode, formula: string, variables: readonly string[], what: string): void {
  const known = [...variables, ...Object.keys(constants)];
  const refuse = (fault: string, right: string): never => {
    throw new BadInput(`${what} “${formula}” ${fault}; ${right}.`);
  };
  const parts = `it is made of ${known.join(', ')}, numbers, + - * / ^, comparisons and functions such as cos and sinc`;
  const list = `the functions are ${Object.keys(functions).join(', ')}`;
  // mathjs has a type for each kind of node, but the union of them does not narrow by `type`.
  const any = node as unknown as { type: string; name: string; op: string; value: unknown; args: MathNode[]; fn: { type: string; name: string } };
  switch (any.type) {
    case 'ParenthesisNode': case 'ConditionalNode': case 'RelationalNode': return;
    case 'ConstantNode':
      if (typeof any.value !== 'number') refuse(`holds ${JSON.stringify(any.value)}, which is not a number`, parts);
      return;
    case 'OperatorNode':
      if (!operators.has(any.op)) refuse(`holds the sign ${any.op}`, parts);
      return;
    case 'FunctionNode': {
      if (any.fn.type !== 'SymbolNode') refuse('calls something else than a function by its name', list);
      const { name } = any.fn;
      if (known.includes(name)) refuse(`uses ${name} as a function`, `a product is written ${name}*(…)`);
      if (!Object.hasOwn(functions, name)) refuse(`uses ${name} as a function`, list);
      if (any.args.length === 0 || (any.args.length > 1 && name !== 'min' && name !== 'max')) {
        refuse(`hands ${name} ${any.args.length} numbers`, 'it takes one');
      }
      return;
    }
    case 'SymbolNode':
      if (Object.hasOwn(functions, any.name)) refuse(`uses ${any.name} without a number`, `a function is written ${any.name}(…)`);
      if (!known.includes(any.name)) refuse(`uses ${any.name}, which is not known here`, `known are ${known.join(', ')}, and ${list}`);
      return;
    default:
      refuse(`holds more than a formula (${any.type.replace('Node', '').replace(/([a-z])([A-Z])/g, '$1 $2').toLowerCase()})`, parts);
  }
}
